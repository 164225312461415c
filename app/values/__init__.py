"""The value question: the value plan, first marks and order of work, reach and keying, and what is printed of them."""
