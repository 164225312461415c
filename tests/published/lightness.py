"""Munsell value, CIE lightness and sRGB: published figures, each with where it comes from."""

# ASTM D1535-08e1, equation 2: per cent luminance Y (perfect diffuser 100) of Munsell value V; the whole steps are
# those of the standard's table, the half steps the same polynomial as given by colour-science 0.4.7
# (colour.colorimetry.luminance_ASTMD1535).
D1535_Y_OF_V = {
    0.0: 0.0, 0.5: 0.5673, 1.0: 1.17993, 1.5: 1.97076, 2.0: 3.04812, 2.5: 4.4988, 3.0: 6.39118, 3.5: 8.77826,
    4.0: 11.70075, 4.5: 15.19016, 5.0: 19.27184, 5.5: 23.96808, 6.0: 29.30115, 6.5: 35.29642, 7.0: 41.98539,
    7.5: 49.40879, 8.0: 57.61963, 8.5: 66.68629, 9.0: 76.69559, 9.5: 87.75585, 10.0: 100.0,
}  # fmt: skip

# The other way, V of per cent Y: colour-science 0.4.7, colour.notation.munsell_value_ASTMD1535; 12.23634268 is its
# documented example.
D1535_V_OF_Y = {
    1.0: 0.8634, 5.0: 2.6451, 12.23634268: 4.0824, 18.0: 4.8519, 20.0: 5.0821, 36.0: 6.5552, 50.0: 7.5377, 80.0: 9.1547,
}  # fmt: skip

# Newhall, Nickerson and Judd, J. Opt. Soc. Am. 33, 1943, 385-418: Y of V relative to magnesium oxide, which reflects
# 0.975 of the light that a perfect diffuser does.
NEWHALL_1943_Y_OF_V = {
    1: 1.21013, 2: 3.12619, 3: 6.55497, 4: 12.00075, 5: 19.76612, 6: 30.05289, 7: 43.06283, 8: 59.09864, 9: 78.66471,
    10: 102.568,
}  # fmt: skip
MAGNESIUM_OXIDE = 0.975

# ISO/CIE 11664-4:2019: L* of per cent Y; 12.19722535 is colour-science's documented example, the rest the formula as
# evaluated by colour-science 0.4.7. 18.418652 is the luminance of mid lightness.
CIE_L_OF_Y = {
    0.5: 4.51648, 1.0: 8.99144, 12.19722535: 41.527876, 18.0: 49.496108, 18.418652: 50.0, 20.0: 51.837212,
    50.0: 76.069261, 100.0: 100.0,
}  # fmt: skip
CIE_Y_OF_L = {
    10: 1.126020, 20: 2.989052, 30: 6.235906, 40: 11.250974, 60: 28.123334, 70: 40.749416, 80: 56.681291, 90: 76.303354,
}  # fmt: skip

# L* of the Munsell neutrals (D1535 through ISO/CIE 11664-4): colour-science 0.4.7.
L_OF_V = {1: 10.408, 2: 20.236, 3: 30.379, 4: 40.737, 5: 51.004, 6: 61.046, 7: 70.861, 8: 80.527, 9: 90.181, 10: 100.0}
# The sRGB code, not rounded to a whole number, of the same neutrals.
SRGB_GREY_OF_V = {1: 28.3, 2: 48.8, 3: 71.5, 4: 96.0, 5: 121.5, 6: 147.3, 7: 173.4, 8: 199.8, 9: 226.8, 10: 255.0}

# IEC 61966-2-1:1999: linear light of an encoded number, and of 8-bit codes with their L*.
SRGB_DECODED = {0.01: 0.000773994, 0.04045: 0.003130807, 0.18: 0.0272117810, 0.5: 0.2140411405, 0.7353569831: 0.5}
SRGB_ENCODED = {0.001: 0.01292, 0.0031308: 0.04044994, 0.18: 0.4613561295}
SRGB_CODES = {  # code: (linear, L*)
    1: (0.000303527, 0.2742), 64: (0.0512695, 27.0934), 118: (0.1811642, 49.6370), 119: (0.1844750, 50.0344),
    128: (0.2158605, 53.5850), 188: (0.5028865, 76.2461), 200: (0.5775804, 80.6041),
}  # fmt: skip

# The grey row of the 24-patch ColorChecker (formulation after November 2014, D50): Y, L* and V, colour-science 0.4.7.
COLORCHECKER_NEUTRALS = {
    "white 9.5": (0.8807, 95.19, 9.51), "neutral 8": (0.5900, 81.29, 8.08), "neutral 6.5": (0.3649, 66.89, 6.59),
    "neutral 5": (0.1906, 50.76, 4.98), "neutral 3.5": (0.0882, 35.63, 3.51), "black 2": (0.0315, 20.64, 2.04),
}  # fmt: skip
