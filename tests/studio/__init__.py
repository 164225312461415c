"""A simulated studio: a painter with known faults and a camera with known optics, the truth for accuracy figures."""
