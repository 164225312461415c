"""Frames from a camera, a stream or a film, one after another."""
