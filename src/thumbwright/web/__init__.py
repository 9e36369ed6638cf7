"""Pages: the whole case in the browser."""
