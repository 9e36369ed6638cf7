"""Paper: the plan as PDF and as JSON, two renderings of one content."""
