"""Throwing the drawing onto the canvas with a projector."""
