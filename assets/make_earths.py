"""Makes ``assets/earths.json``, the tints of a few earths: ``python -m assets.make_earths``.

An earth's reflectance as dry powder gives K/S at every wavelength (Kubelka and Munk 1931); mixed with a white in one
constant, more and more of it, that gives the row of its tints, each as dark as it comes. What is kept is the colour of
the tint at each Munsell value, D65, 2°. Below the masstone the row goes on as though the layer grew denser; above the
white it runs out to pure white.
"""

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FILE = Path(__file__).with_name("earths.json")
WAVELENGTHS = (400, 440, 460, 480, 500, 520, 540, 560, 580, 600, 620, 640, 680, 720)
# Per cent reflectance of dry powders: Kokaly and others 2017, USGS Spectral Library version 7, Data Series 1035
# (public domain), samples GDS809, 811, 812, 805, 794 and 783.
POWDERS = {
    "raw umber": ("PBr7", (1.0, 1.2, 1.3, 1.4, 1.6, 1.8, 2.1, 2.5, 3.0, 3.3, 3.7, 4.0, 4.6, 5.3)),
    "burnt umber": ("PBr7", (0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.3, 1.5, 1.8, 2.1, 2.4, 2.6, 3.0, 3.4)),
    "burnt sienna": ("PBr7", (1.0, 1.2, 1.3, 1.4, 1.6, 1.8, 2.2, 3.0, 4.7, 6.9, 8.8, 10.3, 12.9, 15.6)),
    "raw sienna": ("PBr7", (2.7, 4.2, 4.9, 5.3, 6.2, 7.9, 10.5, 14.0, 17.4, 19.9, 21.2, 22.1, 24.3, 27.8)),
    "yellow ochre": ("PY43", (2.4, 3.8, 4.6, 5.0, 6.1, 8.5, 12.6, 17.8, 21.7, 23.3, 23.6, 23.9, 25.9, 29.3)),
    "Venetian red": ("PR101", (2.1, 2.1, 2.1, 2.2, 2.2, 2.3, 2.6, 3.4, 6.4, 11.1, 14.5, 16.4, 20.3, 25.2)),
}
# Zinc white in oil over white, drawdown 07A: Geldof, Proaño Gaibor, Kirchner and Ligterink 2018, Heritage Science 6:17.
WHITE_AT, WHITE = (450, 550, 650), (0.8490, 0.8698, 0.8773)
VALUES = np.round(np.arange(0.0, 10.01, 0.1), 1)
SAMPLED = np.arange(380, 781, 5)

Floats = NDArray[np.float64]


def absorption(reflectance: Floats) -> Floats:
    """K/S of a thick layer."""
    return (1.0 - reflectance) ** 2 / (2.0 * reflectance)


def reflectance(k_s: Floats) -> Floats:
    """Of a thick layer."""
    return 1.0 + k_s - np.sqrt(k_s**2 + 2.0 * k_s)


def tints(powder: tuple[float, ...], strengths: Floats) -> Floats:
    """Reflectance ``(strengths, wavelengths)`` at ``SAMPLED``; strength 1 is the powder itself beside the white."""
    earth = np.interp(SAMPLED, WAVELENGTHS, np.array(powder) / 100)
    white = np.interp(SAMPLED, WHITE_AT, WHITE)
    return reflectance(absorption(white) + strengths[:, None] * absorption(earth))


def colours(spectra: Floats) -> Floats:
    """XYZ, Y on 0-1, D65, 2° observer, of reflectances ``(n, wavelengths)`` at ``SAMPLED``."""
    import colour

    shape = colour.SpectralShape(380, 780, 5)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
    weights = observer * light[:, None]
    return np.asarray(spectra @ weights / weights[:, 1].sum())


def tint_row(powder: tuple[float, ...]) -> Floats:
    """Linear sRGB ``(n, 3)`` of the tint at each of ``VALUES``, with exactly that value's luminance."""
    from core.colorimetry import LUMINANCE, XYZ_TO_RGB, luminance_of_value, munsell_value

    xyz = colours(tints(powder, np.geomspace(1e-6, 1e4, 2000)))
    value = munsell_value(xyz[:, 1])
    order = np.argsort(value)
    chromaticity = xyz[order] / xyz[order].sum(axis=1, keepdims=True)
    at = np.stack([np.interp(VALUES, value[order], chromaticity[:, k]) for k in range(3)], axis=1)
    top = float(value.max())
    neutral = np.linalg.inv(XYZ_TO_RGB) @ np.ones(3)
    towards = np.clip((VALUES - top) / (10.0 - top), 0.0, 1.0)[:, None]
    at = (1 - towards) * at + towards * neutral / neutral.sum()
    luminance = np.asarray(luminance_of_value(VALUES))
    rgb = at / at[:, 1:2] * luminance[:, None] @ XYZ_TO_RGB.T
    rgb = np.clip(rgb, 0.0, 1.0)
    return rgb * (luminance / np.maximum(rgb @ LUMINANCE, 1e-12))[:, None]


def main() -> None:
    rows = {
        name: {"pigment": pigment, "linear_srgb": np.round(tint_row(powder), 7).tolist()}
        for name, (pigment, powder) in POWDERS.items()
    }
    FILE.write_text(json.dumps({"values": VALUES.tolist(), "earths": rows}, indent=None) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
