"""The light of a canvas photo as pictures and words: how bright, what colour, and how it falls over the canvas.

No colour temperature is given. The photo shows the lamp's colour only after the camera's own white balance, which a
JPEG does not tell; a temperature worked out from what is left (McCamy 1992 gives 6500 K for every well-balanced photo,
by candle light too) would be a number about the camera.

The field shown less the light that fell, Munsell steps, on 16 photos of paintings of known truth in four kinds of light
that make 0.8 step of difference on average: with a photo of the blank canvas 0.003 on average and 0.03 at worst; by a
fit 0.02 and 0.38, the worst under a near lamp.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, TO_WARM, encode_srgb, lab, luminance_of_value, munsell_value
from core.value.light import LightCorrection

CONTOUR_STEPS = 0.25
NEUTRAL_VALUE = 8.0
"""Munsell value of the light grey that the colour of the light is shown on."""
_MIDDLE = 5.0
_GREYS = (3.0, 7.0)
_LINE_PX = 1.6
_LEAST_SLOPE = 1e-4
_SAME, _TOUCH, _PLAIN = 2.0, 5.0, 10.0
_CLEAR_TINT = 3.0
"""The warm direction in CIELAB: the axis of Ou, Luo, Woodcock and Wright, Color Res. Appl. 29(3), 2004, 232-240."""


@dataclass(frozen=True)
class Figure:
    """The figure of a contour line: where it stands, shares (0-1) of the field's width and height, and its steps."""

    x: float
    y: float
    steps: float

    @property
    def words(self) -> str:
        """Such as ``+0.5``, ``−0.25`` or ``0``."""
        sign = "+" if self.steps > 0 else "−" if self.steps < 0 else ""
        return f"{sign}{abs(self.steps):g}"


@dataclass(frozen=True)
class LightPictures:
    """The light taken apart.

    ``exposure_stops``: how far the photo's light lies above (+) or below full exposure of a white canvas, in stops
    (factors of two), over the whole canvas. ``balance``: sRGB ``(3,)`` uint8, how a light grey looks in this light;
    ``balance_words``: the same in words; ``warmth``: in units of CIELAB along the warm-cool axis (hue 50 degrees).
    ``field_steps``: ``(h, w)`` float32, how much lighter (+) or darker a middle grey looks there than on average,
    Munsell steps. ``field``: ``(h, w, 3)`` uint8 the same as a neutral grey picture, with a line at each quarter step;
    ``reach_steps``: its darkest and lightest place. ``words``: whole sentences.
    """

    exposure_stops: float
    balance: NDArray[np.uint8]
    balance_words: str
    warmth: float
    field_steps: NDArray[np.float32]
    field: NDArray[np.uint8]
    reach_steps: tuple[float, float]
    words: tuple[str, ...]


def light_pictures(correction: LightCorrection, size: tuple[int, int]) -> LightPictures:
    """The light that ``correction`` takes out, drawn ``size`` = (width, height) pixels large, as the canvas lies."""
    log = -np.log(correction.gain.astype(np.float64))
    mean = log.reshape(-1, 3).mean(axis=0)
    strength = float(np.log(np.exp(mean) @ LUMINANCE))
    stops = float(strength / np.log(2.0))
    balance, warmth, words = _balance(mean)
    brightness = np.log(np.exp(log) @ LUMINANCE)
    steps = munsell_value(luminance_of_value(_MIDDLE) * np.exp(brightness - brightness.mean())) - _MIDDLE
    full = _at_size(steps.astype(np.float32), size)
    reach = (float(full.min()), float(full.max()))
    return LightPictures(
        exposure_stops=stops,
        balance=balance,
        balance_words=words,
        warmth=warmth,
        field_steps=full,
        field=_drawn(full, reach),
        reach_steps=reach,
        words=(_exposure_words(stops, known=correction.level_known), words, _field_words(full, reach)),
    )


def _balance(mean: NDArray[np.float64]) -> tuple[NDArray[np.uint8], float, str]:
    """How a light grey looks in light of this colour, its warmth, and words for it."""
    colour = np.exp(mean) / (np.exp(mean) @ LUMINANCE)
    seen = colour * float(luminance_of_value(NEUTRAL_VALUE))
    _, a, b = lab(seen)
    warmth = float(a * TO_WARM[0] + b * TO_WARM[1])
    # Across that axis, towards hue 140 degrees, lie yellow-greens; the other way violets.
    across = float(b * TO_WARM[0] - a * TO_WARM[1])
    return np.rint(255 * encode_srgb(np.clip(seen, 0, 1))).astype(np.uint8), warmth, _colour_words(warmth, across)


def _colour_words(warmth: float, across: float) -> str:
    far = abs(warmth)
    name = "warm" if warmth > 0 else "cool"
    tint = "" if abs(across) < _CLEAR_TINT else (" and greenish" if across > 0 else " and pinkish")
    if far < _SAME:
        plain = "The photo's white balance is neutral" if not tint else f"The photo's white balance is{tint[4:]}"
        return f"{plain}."
    much = "a touch " if far < _TOUCH else "" if far < _PLAIN else "very "
    side = "warmer" if warmth > 0 else "cooler"
    return (
        f"The photo's white balance is {much}{name}{tint}: a neutral grey comes out {far:.0f} units of CIELAB {side} "
        f"than it is; under {_SAME:.0f} passes for neutral."
    )


def _exposure_words(stops: float, *, known: bool) -> str:
    way = "under" if stops < 0 else "over"
    said = f"White was exposed {abs(stops):.1f} stop{'' if abs(stops) < 1.05 else 's'} {way} the camera's full range."
    return said if known else f"{said[:-1]}, if the painting as a whole is as light as the reference."


def _field_words(field: NDArray[np.float32], reach: tuple[float, float]) -> str:
    spread = reach[1] - reach[0]
    if spread < CONTOUR_STEPS:
        return "The light is even: it makes less than a quarter step of difference over the canvas."
    h, w = field.shape
    y, x = np.argwhere(field >= np.percentile(field, 95)).mean(axis=0)
    row = "top" if y < h / 3 else "bottom" if y >= 2 * h / 3 else "middle"
    column = "left" if x < w / 3 else "right" if x >= 2 * w / 3 else "middle"
    place = "middle" if row == column == "middle" else " ".join(p for p in (row, column) if p != "middle")
    return f"The light makes up to {spread:.1f} steps of difference over the canvas; it is strongest at the {place}."


def _at_size(steps: NDArray[np.float32], size: tuple[int, int]) -> NDArray[np.float32]:
    """A field on a coarse grid, smoothly, ``size`` pixels large. The grid is first carried on straight beyond its
    sides: else the field would run level there, and its lines turn to meet the canvas's edges squarely."""
    h, w = steps.shape
    cell = np.array([size[0] / w, size[1] / h])
    around = int(np.ceil(1.5 * cell.max()))
    beyond = int(np.ceil(around / cell.min())) + 2
    wide = np.pad(steps, beyond, mode="reflect", reflect_type="odd") if min(h, w) > 1 else np.pad(steps, beyond, "edge")
    x, y = (
        ((np.arange(-around, length + around) + 0.5) / per_cell - 0.5 + beyond).astype(np.float32)
        for length, per_cell in zip(size, cell, strict=True)
    )
    across, down = np.meshgrid(x, y)
    full = cv2.remap(wide, across, down, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    inside = np.s_[around : around + size[1], around : around + size[0]]
    blur_x, blur_y = (float(each) / 2 for each in cell)
    return np.ascontiguousarray(cv2.GaussianBlur(full, (0, 0), blur_x, sigmaY=blur_y)[inside])


def contour_figures(steps: NDArray[np.float32], *, apart: float = 0.14) -> tuple[Figure, ...]:
    """Where the contour lines of a field ``(h, w)`` get their figures, at least ``apart`` (a share of the longer side)
    from one another and half of that from its sides; whole steps before halves, halves before quarters."""
    if float(np.ptp(steps)) < CONTOUR_STEPS:
        return ()
    h, w = steps.shape
    long = max(h, w)
    found: list[Figure] = []
    taken: list[NDArray[np.float64]] = []
    lowest, highest = (int(np.round(end / CONTOUR_STEPS)) for end in (steps.min(), steps.max()))
    for level in sorted(range(lowest, highest + 1), key=_least_round_last):
        places = _on_line(steps, level * CONTOUR_STEPS)
        rim = np.minimum(places, np.array([w, h]) - places).min(axis=1, initial=np.inf)
        places = places[rim >= apart * long / 2]
        if not len(places):
            continue
        away = [np.hypot(*(places - other).T) for other in taken]
        clear = np.min(away, axis=0) if away else -np.hypot(*(places - np.array([w, h]) / 2).T)
        best = int(np.argmax(clear))
        if taken and clear[best] < apart * long:
            continue
        taken.append(places[best])
        found.append(Figure(float(places[best][0] / w), float(places[best][1] / h), level * CONTOUR_STEPS))
    return tuple(found)


def _least_round_last(level: int) -> tuple[int, int]:
    whole = round(1 / CONTOUR_STEPS)
    return (0 if level % whole == 0 else 1 if level % (whole // 2) == 0 else 2, abs(level))


def _on_line(steps: NDArray[np.float32], level: float) -> NDArray[np.float64]:
    """Pixels ``(n, 2)`` (x, y of their middles) beside which the field passes a level."""
    above = steps >= level
    crossed = np.zeros(steps.shape, bool)
    crossed[:, :-1] |= above[:, :-1] != above[:, 1:]
    crossed[:-1] |= above[:-1] != above[1:]
    return np.argwhere(crossed)[:, ::-1].astype(np.float64) + 0.5


def field_scale(reach_steps: tuple[float, float], size: tuple[int, int]) -> NDArray[np.uint8]:
    """The greys and lines of a field from its darkest place (left) to its lightest, ``size`` = (width, height) px."""
    low, high = reach_steps
    ramp = low + (high - low) * (np.arange(size[0], dtype=np.float32) + 0.5) / size[0]
    return _drawn(np.repeat(ramp[None, :].astype(np.float32), max(size[1], 2), axis=0), reach_steps)


def _drawn(steps: NDArray[np.float32], reach: tuple[float, float]) -> NDArray[np.uint8]:
    """A neutral grey picture of the field, lighter where the light is, with a smooth line at each quarter step."""
    low, high = reach
    middle = (low + high) / 2
    # The greys stand for true steps as long as they fit; a field of more than four is pressed into them.
    scale = min(1.0, (_GREYS[1] - _GREYS[0]) / max(high - low, 1e-6))
    grey = encode_srgb(luminance_of_value(_MIDDLE + (steps - middle) * scale))
    gy, gx = np.gradient(steps.astype(np.float64))
    slope = np.hypot(gx, gy)
    off = steps / CONTOUR_STEPS
    away_px = np.abs(off - np.rint(off)) * CONTOUR_STEPS / np.maximum(slope, _LEAST_SLOPE)
    line = np.clip(_LINE_PX / 2 + 0.5 - away_px, 0, 1) * (slope > _LEAST_SLOPE) * (high - low >= CONTOUR_STEPS)
    # Dark lines on the light half, light lines on the dark half: they show on both.
    ink = np.where(grey > encode_srgb(float(luminance_of_value(_MIDDLE))), grey - 0.22, grey + 0.22)
    shown = np.rint(255 * (grey + line * (ink - grey)))
    return np.repeat(np.clip(shown, 0, 255).astype(np.uint8)[..., None], 3, axis=2)
