"""How near a withheld half-and-half mixture is foretold from masstone and tint: ``python -m tests.measure.mixing``.

Known truth: drawdowns by radiative transfer (``tests.studio.paint_layer``) of ten pigments in a white, over a white
card, with a fifth, three fifths and all of the gloss measured with them. Beside it the one ladder of real oil paint of
which figures are at hand, at three wavelengths.
"""

import numpy as np

from core.colorimetry import delta_e_2000
from core.paint import WAVELENGTHS, fit_paints, predict
from core.paint.spectrum import at_wavelengths, lab
from core.paint.tubes import tubes
from tests.published.paints import ULTRAMARINE_11, ZINC_WHITE_07A
from tests.studio.paint_layer import Stuff, drawdown

CARD = np.full(len(WAVELENGTHS), 0.83)
LADDER_AT = [450.0, 550.0, 650.0]
SURFACES = ((0.04, 0.6), (0.04, 0.45), (0.02, 0.6), (0.0, 0.6), (0.0, 0.0))


def band(centre: float, width: float) -> np.ndarray:
    return np.exp(-(((WAVELENGTHS - centre) / width) ** 2))


def below(edge: float, width: float) -> np.ndarray:
    return 1.0 / (1.0 + np.exp((WAVELENGTHS - edge) / width))


def pigments() -> dict[str, Stuff]:
    """Invented: what matters is the kind of absorption and how much comes back."""
    flat = np.ones(len(WAVELENGTHS))
    told = {
        "blue, clear": (0.1 + 60 * band(590, 75), 2.5, 0.7),
        "blue, opaque": (0.4 + 18 * band(600, 60), 3.0, 0.7),
        "blue, strong": (2 + 150 * band(680, 110) + 15 * band(380, 60), 2.0, 0.5),
        "yellow": (0.05 + 60 * below(490, 9), 14.0, 0.7),
        "red": (0.05 + 70 * below(590, 9), 12.0, 0.7),
        "lake": (0.05 + 60 * band(530, 45) + 10 * below(420, 20), 1.0, 0.5),
        "green": (0.5 + 25 * band(430, 40) + 22 * band(630, 60), 3.0, 0.7),
        "black": (60 * flat, 3.0, 0.5),
        "ochre": (0.3 + 12 * below(500, 25), 9.0, 0.7),
        "umber": (10 + 12 * below(560, 60), 4.0, 0.6),
    }
    return {name: Stuff(absorbs * flat, scatters * flat, g) for name, (absorbs, scatters, g) in told.items()}


def errors(gloss: float) -> dict[tuple[float, float], list[float]]:
    """CIEDE2000 of each half-and-half mixture, by surface constants."""
    white = Stuff(0.02 + 0.3 * band(380, 18), 40 * (WAVELENGTHS / 550) ** -0.8, 0.6)
    stuff = pigments() | {"white": white}
    found: dict[tuple[float, float], list[float]] = {surface: [] for surface in SURFACES}
    alone = drawdown({"white": 1.0}, stuff, 1.0, CARD, gloss)
    for name in pigments():
        masstone, tint, half = (
            drawdown({name: c, "white": 1 - c} if c < 1 else {name: 1.0}, stuff, 1.0, CARD, gloss)
            for c in (1.0, 0.1, 0.5)
        )
        samples = [({"white": 1.0}, alone), ({name: 1.0}, masstone), ({name: 0.1, "white": 0.9}, tint)]
        for k1, k2 in SURFACES:
            paints = fit_paints(samples, WAVELENGTHS, white="white", k1=k1, k2=k2)
            told = predict(paints, {name: 1, "white": 1})
            found[k1, k2].append(float(delta_e_2000(lab(told), lab(half))))
    return found


def main() -> None:
    print("a half-and-half mixture foretold from masstone and 10 % tint, CIEDE2000, ten pigments")
    print(f"{'gloss measured':>15} {'k1':>6} {'k2':>6} {'mean':>6} {'worst':>6}")
    for gloss in (0.2, 0.6, 1.0):
        for (k1, k2), each in errors(gloss).items():
            print(f"{gloss:15.1f} {k1:6.2f} {k2:6.2f} {np.mean(each):6.2f} {np.max(each):6.2f}")
    print("\nreal oil paint, ultramarine in zinc white (Geldof and others 2018) at 450, 550, 650 nm: 51 % from 10.7 %")
    masstone, tint, half = (np.array(ULTRAMARINE_11[c]) for c in (1.0, 0.107, 0.51))
    samples = [({"white": 1.0}, ZINC_WHITE_07A), ({"blue": 1.0}, masstone), ({"blue": 0.107, "white": 0.893}, tint)]
    print(f"{'measured':>15} {'':13}", np.round(half, 4))
    for k1, k2 in SURFACES:
        paints = fit_paints(samples, LADDER_AT, white="white", k1=k1, k2=k2)
        told = predict(paints, {"blue": 0.51, "white": 0.49})
        apart = float(delta_e_2000(lab(between(told)), lab(between(half))))
        print(f"{'':15} {k1:6.2f} {k2:6.2f}", told.round(4), f"CIEDE2000 {apart:.2f}, the stored tube's course between")


def between(at_three: np.ndarray) -> np.ndarray:
    """A mixture of ultramarine known at three wavelengths, with the course of the stored tubes between them."""
    stored = {name: tubes()[name].paint for name in ("ultramarine", "zinc white")}
    course = predict(stored, {"ultramarine": 0.51, "zinc white": 0.49})
    off = np.log(at_three / np.interp(LADDER_AT, WAVELENGTHS, course))
    return course * np.exp(at_wavelengths(LADDER_AT, off))


if __name__ == "__main__":
    main()
