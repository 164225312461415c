"""Easelside's computation: no widgets, usable from a script.

Positions and lengths are millimetres on the canvas face (x right, y down, origin at the top left corner);
tones are Munsell value (0-10); light is linear, in the sRGB primaries, 1.0 at diffuse white.
"""
