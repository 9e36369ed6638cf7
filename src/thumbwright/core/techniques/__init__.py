"""The techniques of thumb reconstruction as data, and which of them are open for one case."""
