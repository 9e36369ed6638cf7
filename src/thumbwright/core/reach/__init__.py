"""Where a thumb can be put: joints, their ranges, and what they let it touch."""
