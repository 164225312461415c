"""Kubelka and Munk's theory: worked figures, computed from the published formulas outside the project."""

# K/S of a thick layer, (1 - R)^2 / 2 R (Kubelka and Munk 1931).
KS_OF_REFLECTANCE = {
    0.02: 24.01, 0.05: 9.025, 0.1: 4.05, 0.18: 1.867778, 0.2: 1.6, 0.25: 1.125, 0.5: 0.25, 0.8: 0.025, 0.9: 0.0055556,
}  # fmt: skip
REFLECTANCE_OF_KS = {0.01: 0.868226, 0.1: 0.641742, 0.5: 0.381966, 1: 0.267949, 2: 0.171573, 10: 0.045549}
# Saunderson 1942 with k1 0.04, k2 0.6: what is measured of a reflectance within, and back.
MEASURED_OF_WITHIN = {0: 0.04, 0.1: 0.080851, 0.2: 0.127273, 0.5: 0.314286, 0.8: 0.630769, 0.9: 0.791304, 1: 1.0}
WITHIN_OF_MEASURED = {0.05: 0.025641, 0.1: 1 / 7, 0.2: 1 / 3, 0.5: 0.696970, 0.8: 0.904762}
# A white (K 0.01, S 1) with a pigment (K 2, S 0.1): reflectance by the pigment's share.
WHITE_WITH_PIGMENT = {0.01: 0.782677, 0.05: 0.622251, 0.1: 0.514066, 0.25: 0.336320, 0.5: 0.182756, 1: 0.023823}
# Films (Kubelka 1948): (K, S, thickness): {ground: reflectance}.
FILMS = {
    (0.5, 1.0, 1.0): {0.0: 0.346546, 0.05: 0.350640, 0.80: 0.435600, 1.0: 0.469670},
    (0.1, 5.0, 0.2): {0.0: 0.491780, 0.05: 0.504011, 0.80: 0.806486, 1.0: 0.961294},
    (0.0, 1.0, 1.0): {0.5: 2 / 3},
}
TRANSMITTANCE = {(0.5, 1.0, 1.0): 0.283648}
# K/S: S times thickness at which a film over 0.05 has 0.98 of what it has over 0.80.
HIDES_AT = {0.1: 4.099, 0.5: 2.076}
