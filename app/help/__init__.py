"""What each answer means: what is measured, how sure it is, and where it comes from."""
