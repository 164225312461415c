"""The window and the command line: they show core's answers and own no computation."""
