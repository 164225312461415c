"""Matrices of RGB colour spaces, as published or as given by colour-science 0.4.7."""

# IEC 61966-2-1: the luminance row, rounded in the standard and derived from the primaries.
SRGB_LUMINANCE_ROUNDED = (0.2126, 0.7152, 0.0722)
SRGB_LUMINANCE = (0.2126390059, 0.7151686788, 0.0721923154)

# Display P3 (SMPTE EG 432-1 primaries, D65): linear RGB to XYZ.
P3_TO_XYZ = (
    (0.4865709486, 0.2656676932, 0.1982172852),
    (0.2289745641, 0.6917385218, 0.0792869141),
    (0.0, 0.0451133819, 1.0439443689),
)
# Linear P3 to linear sRGB, through the 4-digit matrix of the sRGB standard.
P3_TO_SRGB = ((1.224813, -0.224911, -0.000073), (-0.041953, 1.041992, 0.000006), (-0.019609, -0.078644, 1.098311))
# P3 (1, 0.5, 0) in sRGB, encoded, numbers below 0 by the straight piece: colour-science 0.4.7.
P3_ORANGE, P3_ORANGE_IN_SRGB = (1.0, 0.5, 0.0), (1.0740, 0.4626, -0.4708)

# Adobe RGB (1998) Color Image Encoding, May 2005, section 4.3.5.3: linear RGB to XYZ, D65.
ADOBE_RGB_TO_XYZ = ((0.57667, 0.18556, 0.18823), (0.29734, 0.62736, 0.07529), (0.02703, 0.07069, 0.99134))

# ROMM RGB (ISO 22028-2; ANSI/I3A IT10.7666:2003): linear RGB to XYZ, D50.
ROMM_TO_XYZ = ((0.7977, 0.1352, 0.0313), (0.2880, 0.7119, 0.0001), (0.0, 0.0, 0.8249))

# Bradford adaptation, D65 to D50.
BRADFORD_D65_TO_D50 = (
    (1.04793, 0.022947, -0.050192),
    (0.029628, 0.990434, -0.017074),
    (-0.009243, 0.015055, 0.751874),
)
