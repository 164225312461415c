"""Value: steps, light correction, comparison, glare."""
