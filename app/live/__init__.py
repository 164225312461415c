"""The live canvas: a camera before it, the canvas followed and laid flat, the drawing over it."""
