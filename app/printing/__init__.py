"""The page on which transfer sheets are laid out, looked at and saved."""
