"""One file of handlers for each page."""
