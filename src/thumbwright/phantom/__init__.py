"""Invented plain films of hands and feet, made of exact solids, with the truth beside them."""
