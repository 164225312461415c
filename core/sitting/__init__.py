"""Sittings: what is planned and what was done, layer upon layer, and when the next one can begin."""
