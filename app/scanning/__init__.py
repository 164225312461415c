"""Bringing in a photo or scan of a drawing on paper or acetate: its sheet, its lines, its place on the canvas."""
