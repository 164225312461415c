"""The ledge under the wall: the canvas photos in order, by sitting, and how they come in."""
