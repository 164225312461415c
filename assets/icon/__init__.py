"""The program's icon, drawn by ``make_icon``."""
