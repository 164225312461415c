"""The film of the painting's progress in the window: played, compared before and after, set, and saved."""
