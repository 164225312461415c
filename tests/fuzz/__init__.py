"""Broken files by the thousand, to see that every one gives a picture or a plain sentence."""
