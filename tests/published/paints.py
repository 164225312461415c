"""Published absorption, scattering and reflectance of paints and pigments, each with where it comes from."""

# Okumura 2005, thesis, Rochester Institute of Technology: (K, S) of acrylic paints at 450, 550 and 650 nm, in the unit
# in which the S of titanium white is 1.
OKUMURA_2005 = {
    "titanium white": ((0.000650, 0.000515, 0.000534), (1.0, 1.0, 1.0)),
    "yellow ochre": ((0.469202, 0.064973, 0.022488), (0.129598, 0.165422, 0.157571)),
    "burnt sienna": ((0.512822, 0.357595, 0.058169), (0.033566, 0.047926, 0.080028)),
    "raw umber": ((0.817853, 0.739117, 0.733599), (0.053096, 0.048110, 0.047596)),
}
# Her ochre and white in equal parts, within the paint, worked outside the project.
OKUMURA_OCHRE_AND_WHITE = (0.41350, 0.71628, 0.81946)

# Curtis and others 1997, Computer-generated watercolor, SIGGRAPH: K and S in red, green and blue; the reflectance of
# the ground under it; and what a wash of thickness 1 has over that, worked outside the project.
CURTIS_1997 = {
    "burnt umber": ((0.74, 1.54, 2.10), (0.09, 0.09, 0.004), 1.0, (0.2438, 0.0661, 0.0158)),
    "French ultramarine": ((0.86, 0.86, 0.06), (0.005, 0.005, 0.09), 1.0, (0.1801, 0.1801, 0.8873)),
    "cadmium yellow": ((0.10, 0.36, 3.45), (0.97, 0.65, 0.007), 0.0, (0.4539, 0.2952, 0.0010)),
    "Indian red": ((0.46, 1.07, 1.50), (1.28, 0.38, 0.21), 1.0, (0.5120, 0.1927, 0.0950)),
}

# Drawdowns of oil paint at 450, 550 and 650 nm: Geldof, Proaño Gaibor, Kirchner and Ligterink 2018, Heritage Science
# 6:17, data CC0. Zinc white 07A over the white card, and over the black one; the cards bare.
ZINC_WHITE_07A = (0.8490, 0.8698, 0.8773)
ZINC_WHITE_07A_OVER_BLACK = (0.8177, 0.7794, 0.7331)
CARDS_07A = {"white": (0.8171, 0.8533, 0.8751), "black": (0.0514, 0.0499, 0.0503)}
# Ultramarine by its share in that white, by mass: 11A, 11B, 11C over the white card.
ULTRAMARINE_11 = {
    1.0: (0.2755, 0.0233, 0.0234),
    0.107: (0.6701, 0.2455, 0.2088),
    0.51: (0.5102, 0.0844, 0.0741),
}
# S times thickness at 450, 550 and 650 nm, from pairs over white and black of the same data (Saunderson 0.04, 0.6).
SCATTERING_2018 = {"zinc white": (14.35, 9.23, 6.85), "lead white": (10.56, 7.93, 6.40)}

# Dry powders, Kokaly and others 2017, USGS Spectral Library 7: L*, a*, b* (D65, 2°) through colour-science 0.4.7.
USGS_LAB = {
    "yellow ochre": (46.8, 11.7, 37.7),
    "raw sienna": (43.4, 12.9, 30.4),
    "burnt sienna": (23.2, 19.5, 20.9),
    "raw umber": (18.1, 5.7, 11.5),
    "burnt umber": (13.0, 5.4, 9.9),
    "Venetian red": (28.1, 27.4, 20.4),
    "bone black": (5.9, 0.3, 1.0),
    "cadmium red": (25.2, 46.5, 24.4),
    "cadmium yellow medium": (69.1, 13.3, 95.0),
    "alizarin crimson": (22.3, 39.5, 11.9),
    "ultramarine": (20.4, 34.1, -57.0),
    "cobalt blue": (32.3, 8.4, -44.8),
    "cerulean blue": (37.7, -2.8, -35.1),
    "viridian": (35.3, -37.8, 0.6),
}
