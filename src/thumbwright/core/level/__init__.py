"""How much of the thumb is gone: the level of loss, in the trade's scheme and in published ones."""
