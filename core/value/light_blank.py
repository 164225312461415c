"""The light as a photo of the empty canvas shows it: at every place the same paint, so all that varies is the light."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.value.light_fit import FittedLight, fit_light, legendre_terms
from core.value.light_grid import CoarseView, Floats, Mask, cell_means, grid_shape, judged

PRIMED = (0.80, 0.95)
"""Reflectance of a primed canvas: acrylic gesso and oil grounds, common practice, no source."""
CELLS = 80
_FAR = 0.25
"""Natural logarithm by which the level may lie outside the plausible range before it is no longer believed: about
half a step at middle value."""
_TINT = 0.06
_MISMATCH_STEPS = 0.6


@dataclass(frozen=True)
class BlankLight:
    """``log``: ``(h, w, 3)`` natural logarithm of the light times the blank's reflectance. ``usable``: share 0-1."""

    log: Floats
    usable: float


@dataclass(frozen=True)
class BlankAnswer:
    """The light taken from a blank: ``log`` ``(h, w, 3)``; ``level_deviation`` in natural logarithms of luminance;
    ``agrees``: False when the blank was not taken in this light, and the reference had to correct it."""

    log: Floats
    level_deviation: float
    agrees: bool
    level_note: str
    notes: tuple[str, ...]
    check: FittedLight


def blank_light(blank: Flat, *, guess: Floats | None = None) -> BlankLight:
    """Cell means of the blank, freed of weave and specks.

    Clipped or unseen places are filled smoothly: with ``guess`` (``(h, w, 3)`` natural logarithm of a light fitted
    otherwise) only what the blank adds to that is carried over into them.
    """
    shape = grid_shape(blank, CELLS)
    mean, share = cell_means(blank.linear, judged(blank, None), shape)
    known = (share > 0.3) & (mean.min(axis=2) > 1e-3)
    log = np.log(np.maximum(mean, 1e-4))
    base = np.zeros_like(log) if guess is None else resized(guess, shape)
    degree = 4 if guess is None else 1
    smooth = np.stack([_smoothed(log[..., k] - base[..., k], known, degree) for k in range(3)], axis=-1)
    return BlankLight(base + smooth, float(known.mean()))


def _smoothed(log: Floats, known: Mask, degree: int) -> Floats:
    """A smooth field plus what is left, median-filtered and lightly blurred: keeps shadows, loses specks."""
    if not known.any():
        return np.zeros_like(log)
    terms, _ = legendre_terms(log.shape, degree)
    inside = known.ravel()
    weights, *_ = np.linalg.lstsq(terms[inside], log.ravel()[inside], rcond=1e-6)
    field = (terms @ weights).reshape(log.shape)
    calm = cv2.medianBlur(np.where(known, log - field, 0.0).astype(np.float32), 3)
    weight = cv2.GaussianBlur(known.astype(np.float32), (0, 0), 0.8)
    blurred = cv2.GaussianBlur(calm * known, (0, 0), 0.8) / np.maximum(weight, 1e-3)
    return np.asarray(field + np.where(weight > 0.05, blurred, 0.0))


def with_blank(view: CoarseView, lit: BlankLight, *, reflectance: tuple[float, float] = PRIMED) -> BlankAnswer:
    """The light on the canvas from the blank; its level within what ``reflectance`` allows, chosen by the reference.

    Where the reference says that the level lies far outside, the two photos were exposed differently (or the ground
    is not white), and the level is the reference's. Where it says that the *shape* of the light is another, the
    blank is corrected by a smooth field, and ``agrees`` is False.
    """
    under = resized(lit.log, view.shape)
    evened = replace(view, canvas=view.canvas / np.exp(under))
    level = fit_light(evened, degree=0, colour_degree=0)
    shape = fit_light(evened, degree=3, colour_degree=1)
    spread = _spread(shape.log[..., 1] - level.log[..., 1])
    if spread > _MISMATCH_STEPS:
        note = (
            "The blank was not photographed in the same light or from the same place as the canvas; the reference "
            "was used to make up for it. Photograph the blank again without moving lamp or camera."
        )
        return BlankAnswer(lit.log + resized(shape.log, lit.log.shape[:2]), 0.05, False, _LEVEL_OF_FIT, (note,), shape)
    constant = level.log.reshape(-1, 3).mean(axis=0)
    chosen, deviation, say, notes = _level(constant, reflectance)
    return BlankAnswer(lit.log + chosen, float(np.hypot(deviation, spread / 20)), True, say, notes, level)


_LEVEL_OF_FIT = (
    "The overall level was matched to the reference: a painting too dark or too light as a whole would not show."
)


def _level(constant: Floats, reflectance: tuple[float, float]) -> tuple[Floats, float, str, tuple[str, ...]]:
    """Logarithm to add per channel, its deviation, what to say about the level, and notes."""
    low, high = -np.log(reflectance[1]), -np.log(reflectance[0])
    green = float(constant[1])
    tint = constant - green
    tint = tint if np.abs(tint).max() > _TINT else np.zeros(3)
    beyond = max(green - high, low - green, 0.0)
    if beyond > _FAR:
        note = (
            "The blank's photo was exposed differently from the canvas photo, or its ground is not white; the level "
            "was matched to the reference."
        )
        return green + tint, 0.05, _LEVEL_OF_FIT, (note,)
    inside = float(np.clip(green, low, high))
    if beyond > 0.04:
        way = "lighter" if green > inside else "darker"
        say = (
            f"Against the blank the painting is a little {way} as a whole than the reference; if the two photos were "
            "exposed differently, this is the camera's doing."
        )
        return inside + tint, 0.05 + beyond / 2, say, ()
    say = f"The level follows from the blank, taken to reflect {np.exp(-inside):.0%} of the light."
    return inside + tint, 0.01, say, ()


def _spread(log_field: NDArray[np.float64]) -> float:
    """Range of a field of light in Munsell steps at middle value (two steps for a natural logarithm)."""
    return float(2.0 * np.ptp(np.percentile(log_field, [5, 95])))


def resized(field: Floats, shape: tuple[int, int]) -> Floats:
    """A coarse field ``(h, w, 3)`` at another number of cells."""
    return np.asarray(cv2.resize(field, shape[::-1], interpolation=cv2.INTER_LINEAR), dtype=np.float64)
