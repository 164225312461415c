"""How soft each edge is, in mm on the canvas."""
