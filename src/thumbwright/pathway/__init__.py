"""The order of care: the only place that knows what comes after what."""
