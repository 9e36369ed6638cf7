"""Scheduling: when a thumb is rebuilt, with whom, and what stands in the way."""
