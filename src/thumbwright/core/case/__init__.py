"""The facts of one case as they were found, and which of them contradict each other."""
