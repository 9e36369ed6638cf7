"""Five invented people with their films, to see the whole program at work."""
