"""The report of the whole painting, from the window."""
