"""The mix panel: palettes, recipes for passages of the reference, strings, reach, the painter's own tubes."""
