"""The workbench of a hand surgeon who must give a person a thumb again."""

__version__ = "0.1.0"
