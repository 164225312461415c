"""The light as a photo of the empty canvas shows it: at every place the same paint, so all that varies is the light."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.colorimetry import LUMINANCE
from core.value.light_fit import FittedLight, fit_light, legendre_terms
from core.value.light_grid import CoarseView, Floats, Mask, cell_means, grid_shape, judged, value_per_log
from core.words import as_share

PRIMED = (0.80, 0.95)
"""Reflectance of a primed canvas: acrylic gesso and oil grounds, common practice, no source."""
CELLS = 80
_FAR = 0.25
"""Natural logarithm by which the level may lie outside the plausible range before it is no longer believed: about
half a step at middle value."""
_TINT = 0.06
_MISMATCH_STEPS = 0.6


_ODD_STEPS, _ODD_SHARE = 0.4, 0.003
_ABRUPT = 0.1
"""Natural logarithm by which a cell of the blank stands out from those two cells round it."""


@dataclass(frozen=True)
class BlankLight:
    """``log``: ``(h, w, 3)`` natural logarithm of the light times the blank's reflectance, filled in everywhere;
    ``raw`` the same as measured, where ``known`` ``(h, w)``."""

    log: Floats
    raw: Floats
    known: Mask

    @property
    def usable(self) -> float:
        """Share that is neither clipped nor black, 0-1."""
        return float(self.known.mean())


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

    @property
    def level_known(self) -> bool:
        """Whether the level is the blank's own."""
        return self.level_note != LEVEL_BY_FIT


def blank_light(blank: Flat, *, guess: Floats | None = None) -> BlankLight:
    """Cell means of the blank, freed of weave and specks.

    Clipped or unseen places are filled smoothly: with ``guess`` (``(h, w, 3)`` natural logarithm of a light fitted
    otherwise) only what the blank adds to that is carried over into them.
    """
    shape = grid_shape(blank, CELLS)
    mean, share = cell_means(blank.linear, judged(blank, None), shape)
    known = (share > 0.3) & (mean.min(axis=2) > 1e-3)
    return _filled(np.log(np.maximum(mean, 1e-4)), known, guess)


def _filled(raw: Floats, known: Mask, guess: Floats | None) -> BlankLight:
    base = np.zeros_like(raw) if guess is None else resized(guess, known.shape)
    degree = 4 if guess is None else 1
    smooth = np.stack([_smoothed(raw[..., k] - base[..., k], known, degree) for k in range(3)], axis=-1)
    return BlankLight(base + smooth, raw, known)


def _smoothed(log: Floats, known: Mask, degree: int) -> Floats:
    """A smooth field plus what is left, median-filtered and lightly blurred: keeps shadows, loses specks."""
    if not known.any():
        return np.zeros_like(log)
    terms, _ = legendre_terms(log.shape, degree)
    weights, *_ = np.linalg.lstsq(terms[known], log[known], rcond=1e-6)
    field = terms @ weights
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
    lit, notes = _confirmed(view, lit)
    evened = _evened(view, lit)
    level = fit_light(evened, degree=0, colour_degree=0)
    shape = fit_light(evened, degree=3, colour_degree=1)
    spread = _spread(shape.log[..., 1] - level.log[..., 1])
    if spread > _MISMATCH_STEPS:
        log = lit.log + resized(shape.log, lit.known.shape)
        return BlankAnswer(log, 0.05, False, LEVEL_BY_FIT, (*notes, _OTHER_LIGHT), shape)
    constant = level.log.reshape(-1, 3).mean(axis=0)
    chosen, deviation, say, more = _level(constant, reflectance)
    return BlankAnswer(lit.log + chosen, float(np.hypot(deviation, spread / 20)), True, say, (*notes, *more), level)


def _evened(view: CoarseView, lit: BlankLight) -> CoarseView:
    return replace(view, canvas=view.canvas / np.exp(resized(lit.log, view.shape)))


def _confirmed(view: CoarseView, lit: BlankLight) -> tuple[BlankLight, tuple[str, ...]]:
    """The blank without what the canvas photo does not bear out: an abrupt change there, and none in the light here.

    So a shadow that falls on both is kept, and a strip of wall that a moved camera let in is not: dividing by the
    blank then puts its jump, turned about, into the canvas.
    """
    level = fit_light(_evened(view, lit), degree=0, colour_degree=0)
    size = view.shape[::-1]
    strength = cv2.resize(np.log(np.exp(lit.log) @ LUMINANCE), size, interpolation=cv2.INTER_AREA)
    jump = _against_surround(strength)
    left_jump = _against_surround(level.left / value_per_log(view.reference @ LUMINANCE))
    number, parts = cv2.connectedComponents((np.abs(jump) > _ABRUPT).astype(np.uint8), connectivity=8)
    judged_jump = np.where(view.known, jump, 0.0).ravel()
    power = np.bincount(parts.ravel(), judged_jump**2, number)
    unlike = -np.bincount(parts.ravel(), judged_jump * left_jump.ravel(), number) > 0.5 * power
    unlike[0] = False
    wrong = view.known & (np.abs(level.left) > _ODD_STEPS)
    _, passages = cv2.connectedComponents(wrong.astype(np.uint8), connectivity=4)
    odd = wrong & np.isin(passages, np.unique(passages[wrong & unlike[parts]]))
    if odd.mean() < _ODD_SHARE:
        return lit, ()
    spread = cv2.dilate(odd.astype(np.uint8), np.ones((3, 3), np.uint8))
    gone = cv2.resize(spread, lit.known.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    return _filled(lit.raw, lit.known & ~gone, None), (_OTHER_VIEW,)


def _against_surround(field: Floats) -> Floats:
    return np.asarray(field - cv2.GaussianBlur(field, (0, 0), 2.0, borderType=cv2.BORDER_REPLICATE))


LEVEL_BY_FIT = (
    "The overall level was matched to the reference: a painting too dark or too light as a whole would not show."
)
_OTHER_LIGHT = (
    "The blank was not photographed in the same light or from the same place as the canvas; the reference was used to "
    "make up for it. Photograph the blank again without moving lamp or camera."
)
_OTHER_VIEW = (
    "Part of the blank's photo does not fit the canvas photo (another view, or something lay in front); the light "
    "there was filled in from around it."
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
        return green + tint, 0.05, LEVEL_BY_FIT, (note,)
    inside = float(np.clip(green, low, high))
    if beyond > 0.04:
        way = "lighter" if green > inside else "darker"
        say = (
            f"Against the blank the painting is a little {way} as a whole than the reference; if the two photos were "
            "exposed differently, this is the camera's doing."
        )
        return inside + tint, 0.05 + beyond / 2, say, ()
    say = f"The level follows from the blank, taken to reflect {as_share(np.exp(-inside))} of the light."
    return inside + tint, 0.01, say, ()


def _spread(log_field: NDArray[np.float64]) -> float:
    """Range of a field of light in Munsell steps at middle value (two steps for a natural logarithm)."""
    return float(2.0 * np.ptp(np.percentile(log_field, [5, 95])))


def resized(field: Floats, shape: tuple[int, int]) -> Floats:
    """A coarse field ``(h, w, 3)`` at another number of cells."""
    return np.asarray(cv2.resize(field, shape[::-1], interpolation=cv2.INTER_LINEAR), dtype=np.float64)
