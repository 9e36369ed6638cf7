"""Numbers with doubt, answers that may be unknown, sources, and the tree of errors."""
