"""The drawing: lines and landmarks in mm, read and written as SVG, and how far the painting has strayed from it."""
