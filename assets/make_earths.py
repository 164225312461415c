"""Makes ``assets/earths.json``, the tints of a few earths: ``python -m assets.make_earths``.

Each earth is a tube (``assets/make_tubes.py``), mixed with titanium white in two constants, from none of it to nothing
else. What is kept is the colour of the tint at each Munsell value, D65, 2°. No paint is darker than its masstone: there
the row goes on as the masstone in less light. Above the white it runs out to pure white.
"""

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, XYZ_TO_RGB, luminance_of_value, munsell_value
from core.paint import reflectance, saunderson
from core.paint.spectrum import xyz
from core.paint.tubes import tubes

FILE = Path(__file__).with_name("earths.json")
EARTHS = ("raw umber", "burnt umber", "burnt sienna", "raw sienna", "yellow ochre", "Venetian red")
WHITE = "titanium white"
SHARES = np.concatenate([[0.0], np.geomspace(1e-6, 1.0, 2000)])
VALUES = np.round(np.arange(0.0, 10.01, 0.1), 1)

Floats = NDArray[np.float64]


def within(name: str, shares: Floats = SHARES) -> Floats:
    """Reflectance ``(shares, wavelengths)`` inside a thick layer, of an earth of such shares by mass in white."""
    earth, white, share = tubes()[name].paint, tubes()[WHITE].paint, shares[:, None]
    return reflectance(share * earth.k + (1.0 - share) * white.k, share * earth.s + (1.0 - share) * white.s)


def tints(name: str) -> Floats:
    """As seen, ``(SHARES, wavelengths)``."""
    paint = tubes()[name].paint
    return saunderson(within(name), paint.k1, paint.k2)


def tint_row(name: str) -> Floats:
    """Linear sRGB ``(n, 3)`` of the tint at each of ``VALUES``, with exactly that value's luminance."""
    seen = xyz(tints(name))
    value = munsell_value(seen[:, 1])
    order = np.argsort(value)
    chromaticity = seen[order] / seen[order].sum(axis=1, keepdims=True)
    at = np.stack([np.interp(VALUES, value[order], chromaticity[:, k]) for k in range(3)], axis=1)
    top = float(value.max())
    neutral = np.linalg.inv(XYZ_TO_RGB) @ np.ones(3)
    towards = np.clip((VALUES - top) / (10.0 - top), 0.0, 1.0)[:, None]
    at = (1 - towards) * at + towards * neutral / neutral.sum()
    luminance = np.asarray(luminance_of_value(VALUES))
    rgb = np.clip(at / at[:, 1:2] * luminance[:, None] @ XYZ_TO_RGB.T, 0.0, 1.0)
    return np.asarray(rgb * (luminance / np.maximum(rgb @ LUMINANCE, 1e-12))[:, None])


def main() -> None:
    rows = {
        name: {"pigment": tubes()[name].pigments[0], "linear_srgb": np.round(tint_row(name), 7).tolist()}
        for name in EARTHS
    }
    FILE.write_text(json.dumps({"values": VALUES.tolist(), "earths": rows}, indent=None) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
