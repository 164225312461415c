"""Arm's length: the pictures and what to mend first, on the whole screen, read from the easel and worked by pedals."""
