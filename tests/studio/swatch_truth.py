"""Tubes as a painter has them beside the stored ones: another strength, another hue, another scattering, or another
pigment sold under the same number; mixed by hand, with surfaces that nobody knows.

None of the changes is one of those that ``core.paint.swatch_refine`` looks for: they are drawn from smooth random
curves and from other tubes' spectra.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.paint import swatch_card as card
from core.paint.fit import fit_paints
from core.paint.paint import Mixture, Paint, mixture, predict
from core.paint.spectrum import WAVELENGTHS
from core.paint.tubes import Tube, tubes
from tests.studio.swatch_photo import LIGHTS, Painted, Printer, Sensor, Shot

Floats = NDArray[np.float64]

WHITE = "titanium white"
OTHERS = ("ultramarine", "yellow ochre", "burnt sienna")
TWINS = {
    "cadmium yellow light": "cadmium yellow medium",
    "cadmium yellow medium": "cadmium yellow light",
    "Hansa yellow": "Hansa yellow light",
    "yellow ochre": "raw sienna",
    "raw sienna": "yellow ochre",
    "burnt sienna": "transparent oxide red",
    "raw umber": "burnt umber",
    "burnt umber": "raw umber",
    "Venetian red": "Indian red",
    "Indian red": "Venetian red",
    "transparent oxide red": "burnt sienna",
    "cadmium red": "vermilion",
    "alizarin crimson": "quinacridone rose",
    "ultramarine": "cobalt blue",
    "cobalt blue": "ultramarine",
    "cerulean blue": "cobalt blue",
    "phthalo green": "viridian",
    "viridian": "phthalo green",
    "ivory black": "Mars black",
}
"""Tubes with spectra alike, towards which a truth may lean: those of one Colour Index name, or of a like hue."""
CASES = (
    "ultramarine", "yellow ochre", "cadmium red", "burnt sienna", "cadmium yellow medium", "alizarin crimson",
    "viridian", "raw umber", "Venetian red", "cobalt blue", "ivory black", "phthalo green", "raw sienna",
    "cerulean blue", "transparent oxide red", "burnt umber", "Hansa yellow", "Indian red",
    "chromium oxide green", "quinacridone rose", "phthalo blue", "terre verte", "pyrrole red", "cadmium yellow light",
)  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """``stored``: the tube as it comes with the program. ``paints``: what is really on the palette, by name: the white,
    the tube and ``OTHERS``. ``shares``: of the tube in each square as it was weighed."""

    stored: Tube
    paints: Mapping[str, Paint]
    shares: Mapping[str, float]

    def painted(self) -> dict[str, Mixture]:
        """What lies in the squares."""
        name = self.stored.name
        return {key: mixture(self.paints, {WHITE: 1 - share, name: share}) for key, share in self.shares.items()}


def further_mixes(name: str) -> list[dict[str, float]]:
    """Mixes that are on no card: with white in other parts, and with other tubes."""
    white = [{name: 1, WHITE: parts} for parts in (1.0, 5.0, 20.0)]
    others = [other for other in OTHERS if other != name][:2]
    return white + [{name: 1, other: 1, WHITE: more} for other in others for more in (0.0, 4.0)]


def truth_of(name: str, seed: int, *, weighing: float = 0.05, strength: float = 2.0) -> Truth:
    """A tube sold as the stored one. ``weighing``: error of a part, a share of it; ``strength``: the most by which it
    is stronger or weaker."""
    rng = np.random.default_rng(seed)
    known = tubes()
    stored = known[name]
    changed = _changed(stored.paint, known[TWINS[name]].paint if name in TWINS else None, rng, strength)
    white = known[WHITE].paint
    white = Paint(white.k * rng.uniform(0.7, 1.6), white.s, WAVELENGTHS, white.k1, white.k2)
    paints = {WHITE: white, name: changed} | {other: known[other].paint for other in OTHERS if other != name}
    paints = _with_surface(paints, k1=rng.uniform(0.02, 0.04), k2=rng.uniform(0.4, 0.6))
    shares = {}
    for square in card.SQUARES:
        ratio = (1 - square.share) / max(square.share, 1e-9) * np.exp(rng.normal(0, weighing))
        shares[square.name] = square.share if square.share in (0, 1) else 1 / (1 + ratio)
    return Truth(stored, paints, shares)


def _changed(paint: Paint, twin: Paint | None, rng: np.random.Generator, strength: float) -> Paint:
    k, s = np.log(paint.k + 1e-6), np.log(paint.s + 1e-6)
    if twin is not None and rng.random() < 0.5:
        lean = rng.uniform(0.3, 0.8)
        k, s = (1 - lean) * k + lean * np.log(twin.k + 1e-6), (1 - lean) * s + lean * np.log(twin.s + 1e-6)
    shift = rng.normal(0, 4.0)
    k, s = (np.interp(WAVELENGTHS - shift, WAVELENGTHS, each) for each in (k, s))
    k = k + _smooth(rng, 0.22, rng.uniform(40, 120))
    s = s + _smooth(rng, 0.15, rng.uniform(60, 150)) + rng.normal(0, 0.2)
    stronger = rng.uniform(-1, 1) * np.log(strength)
    return Paint(np.exp(k + stronger), np.exp(s + stronger), WAVELENGTHS, paint.k1, paint.k2)


def _smooth(rng: np.random.Generator, size: float, length_nm: float) -> Floats:
    apart = WAVELENGTHS[:, None] - WAVELENGTHS
    cover = np.exp(-0.5 * (apart / length_nm) ** 2) + 1e-8 * np.eye(len(WAVELENGTHS))
    return np.asarray(size * np.linalg.cholesky(cover) @ rng.normal(size=len(WAVELENGTHS)))


def _with_surface(paints: dict[str, Paint], *, k1: float, k2: float) -> dict[str, Paint]:
    """Paints with other surface constants that look the same alone and as a tint of one tenth."""
    samples: list[tuple[Mapping[str, float], Floats]] = [({WHITE: 1.0}, predict(paints, {WHITE: 1.0}))]
    for name in paints:
        if name != WHITE:
            samples += [(parts, predict(paints, parts)) for parts in ({name: 1.0}, {name: 0.1, WHITE: 0.9})]
    return fit_paints(samples, WAVELENGTHS, white=WHITE, k1=k1, k2=k2)


def shot_of(seed: int) -> tuple[Printer, Shot]:
    """A printer, a camera and its place, as a careful painter's may be."""
    rng = np.random.default_rng(seed + 7000)
    printer = Printer(
        dot_gain=rng.uniform(0.75, 1.3),
        black=rng.uniform(0.03, 0.08),
        tint=tuple(rng.uniform(0.96, 1.04, 3).tolist()),
        paper=rng.uniform(0.84, 0.93),
        brightener=rng.uniform(0, 0.06),
    )
    name = "Sigma SDMerill (NPL)" if seed % 6 == 5 else "Nikon 5100 (NPL)"
    moved = (0.0, 0.0, 0.0) if seed % 3 else tuple(rng.normal(0, 4, 3).tolist())
    balance, fall_off = np.exp(rng.normal(0, 0.08, 3)), rng.uniform(1.0, 1.6)
    shot = Shot(
        sensor=Sensor(name, moved, float(rng.uniform(0.9, 1.1)) if seed % 3 == 0 else 1.0),
        light=LIGHTS[rng.integers(len(LIGHTS))],
        balance=tuple(balance.tolist()),
        exposure=rng.uniform(0.45, 0.9) / float(balance.max() * np.sqrt(fall_off) * 1.05),
        fall_off=fall_off,
        from_deg=rng.uniform(0, 360),
        bend=rng.uniform(0, 0.08),
        tone=rng.uniform(0, 0.25),
        veil=rng.uniform(0, 0.012),
        gloss=rng.uniform(0, 0.012),
        blur_px=rng.uniform(0.5, 2.0),
        noise=rng.uniform(0.002, 0.012),
        fill=rng.uniform(0.6, 0.92),
        tilt=rng.uniform(0, 0.08),
        turn_deg=float(rng.choice([0, 0, 180, 8, -20, 90])),
        seed=seed,
    )
    return printer, shot


def case(name: str, seed: int) -> tuple[Truth, Painted, Shot]:
    """A tube's truth, its painted card and how it was photographed."""
    truth = truth_of(name, seed)
    printer, shot = shot_of(seed)
    return truth, Painted(truth.painted(), printer=printer, paper="Letter" if seed % 2 else "A4"), shot
