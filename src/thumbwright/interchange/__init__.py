"""Formats in and out: documents that people write, and films that machines write."""
