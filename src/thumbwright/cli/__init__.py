"""The commands; what is heavy is imported only by the command that needs it."""
