"""The painted squares of a swatch card, read from a photo: their colour beside that of the white alone, and whether the
photo is good enough to go by.

What is told of a square is the middle of its even part, in light made even by the greys, and divided by the same of the
square of white: a camera's exposure and white balance then cancel.

Ways to an absolute scale, by how far further mixes of the tube are from the truth (``python -m tests.measure.swatches
48 100``: printers of a dot gain of 0.75 to 1.3, blacks of 3 to 8 % and papers of 84 to 93 %, cameras with a curve of
contrast), mean CIEDE2000: the stored tube 4.18; printed greys at what they are meant to be 3.33; the white alone as the
stored white 2.11, and with a grey card for the contrast 1.97.

Of 48 good photos all cards were found, and two were refused, both burnt out in the white. Of bad ones, four of each of
14 kinds, all were refused: blurred, shining, burnt out, too dark, a mark covered or out of the picture, too small,
light that falls off, a shadow, haze, thin paint, a square left out, streaks, tints in each other's place. The marks are
found up to a blur of 1 mm, sigma; from 0.6 mm the photo is refused.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, delta_e_2000, lab
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint.swatch_faults import Seen, grey_card_problems, problems_of, sharpness_mm
from core.paint.swatch_find import FlatCard, find_card, flatten, photo_linear
from core.paint.swatch_light import FULL, CardLight, card_light, middle_mean
from core.photo import Photo, load_photo

Floats = NDArray[np.float64]
Linear = NDArray[np.float32]

_INSET_MM, _BAR_AROUND_MM, _CARD_INSET_MM = 5.0, 0.8, 3.0
_BLOCK_PX = 5
"""Pixels of the flat card that are taken together, 1 mm: less than a streak, more than noise."""
_WITHIN = 0.5
"""Share of a square's blocks, about the middle of them all, whose mean is told."""
_SHINES_TIMES, _SHINES_MORE = 1.2, 0.02


@dataclass(frozen=True, eq=False)
class Swatch:
    """A painted square. ``linear``: ``(3,)`` linear light in the sRGB primaries, 1 in each channel for the white alone;
    ``sigma``: ``(3,)`` of it, by the unevenness of paint and light. ``spread``: of the paint, a share of its light.
    ``shows``: CIEDE2000 between over the bar and beside it."""

    square: card.Square
    linear: Floats
    sigma: Floats
    spread: float
    shows: float


@dataclass(frozen=True, eq=False)
class Readings:
    """``swatches`` in the order of the card. ``problems``: sentences why the photo is not good enough, with what to do;
    empty where it is. ``greys``: ``(3,)`` luminance of the printed greys beside the paper's, as it shows.
    ``white_beside_paper``: luminance of the white alone beside the bare paper's, NaN where that is burnt out.
    ``grey_card``: what the grey card on the card reflects, 0-1, and ``grey_card_shown`` its luminance beside that of
    the white alone; None where there was none."""

    swatches: tuple[Swatch, ...]
    px_per_mm: float
    fall_off: float
    problems: tuple[str, ...]
    greys: Floats
    white_beside_paper: float
    grey_card: float | None = None
    grey_card_shown: float | None = None

    @property
    def good(self) -> bool:
        return not self.problems

    def swatch(self, name: str) -> Swatch:
        """One by the name of its square."""
        return next(each for each in self.swatches if each.square.name == name)


def read_card_file(path: Path | str, *, grey_card: float | None = None) -> Readings:
    """:func:`read_card` of a photo's file."""
    return read_card(load_photo(path), grey_card=grey_card)


def read_card(photo: Photo | Linear, *, grey_card: float | None = None) -> Readings:
    """The card in a photo, or in linear light ``(H, W, 3)``. ``grey_card``: the reflectance, 0-1, of one that lies at
    its place on the card.

    Raises PaintError where the card is not whole in the photo, or cannot be read at all. A card found in a photo that
    is not good enough is told with ``problems``.
    """
    if grey_card is not None and not 0.02 <= grey_card <= 1:
        raise PaintError("A grey card reflects from 0.02 to 1. Give the figure that is printed on it, such as 0.18.")
    linear = photo_linear(photo) if isinstance(photo, Photo) else np.asarray(photo, dtype=np.float32)
    found = find_card(linear)
    flat = flatten(linear, found)
    light = card_light(flat)
    if light is None:
        raise PaintError(
            "The printed greys of the card cannot be read: they are too dark, burnt out or covered. Photograph the "
            "card again in brighter, even daylight, with its greys clean."
        )
    seen = [_seen(flat, light, square) for square in card.SQUARES]
    white = seen[0].linear
    swatches = tuple(_swatch(each, white, light) for each in seen)
    levels = light.levels @ LUMINANCE
    problems = problems_of(seen, light, sharpness_mm(flat), flat)
    shown = None
    if grey_card is not None:
        shown = _grey_card_shown(flat, light, white)
        problems = (*problems, *grey_card_problems(shown, grey_card))
    return Readings(
        swatches,
        found.px_per_mm,
        light.fall_off,
        problems,
        greys=levels[:-1] / levels[-1],
        white_beside_paper=float(white @ LUMINANCE / levels[-1]),
        grey_card=grey_card,
        grey_card_shown=shown,
    )


def _seen(flat: FlatCard, light: CardLight, square: card.Square) -> Seen:
    """A square in even light."""
    rect = square.rect.inset(_INSET_MM)
    pixels = flat.part(rect).astype(np.float64)
    burnt = float((pixels.max(axis=2) >= FULL).mean())
    blocks = _blocks(pixels / light.at([square.rect])[0])
    across = (np.arange(blocks.shape[1]) + 0.5) * _BLOCK_PX / flat.px_per_mm - rect.width / 2
    beside = blocks[:, np.abs(across) > card.BAR_MM / 2 + _BAR_AROUND_MM].reshape(-1, 3)
    over = blocks[:, np.abs(across) < card.BAR_MM / 2 - _BAR_AROUND_MM].reshape(-1, 3)
    bright = beside @ LUMINANCE
    middle = float(np.median(bright))
    order = np.argsort(np.abs(bright - middle))[: max(4, round(_WITHIN * len(bright)))]
    shines = float((bright > _SHINES_TIMES * middle + _SHINES_MORE).mean())
    low, high = np.quantile(bright, (0.15, 0.85))
    return Seen(
        square,
        linear=beside[order].mean(axis=0),
        over_bar=np.median(over, axis=0),
        spread=float((high - low) / 2.07 / max(middle, 1e-6)),  # a normal spread has 2.07 sigma between these
        shines=shines,
        burnt=burnt,
    )


def _blocks(pixels: Floats) -> Floats:
    """Means of blocks of 1 mm: ``(h, w, 3)``."""
    high, wide = (side // _BLOCK_PX for side in pixels.shape[:2])
    whole = pixels[: high * _BLOCK_PX, : wide * _BLOCK_PX]
    return np.asarray(whole.reshape(high, _BLOCK_PX, wide, _BLOCK_PX, 3).mean(axis=(1, 3)))


def _swatch(seen: Seen, white: Floats, light: CardLight) -> Swatch:
    beside_white = seen.linear / white
    by_paint = seen.spread / np.sqrt(12.0)  # streaks are some mm wide: about a dozen of them in a square
    sigma = beside_white * np.hypot(by_paint, light.left) + 5e-4
    shows = float(delta_e_2000(lab(seen.over_bar / white), lab(beside_white)))
    return Swatch(seen.square, beside_white, sigma, seen.spread, shows)


def _grey_card_shown(flat: FlatCard, light: CardLight, white: Floats) -> float:
    """Luminance of what lies at the grey card's place, beside that of the white alone."""
    place = card.CARD_PLACE.inset(_CARD_INSET_MM)
    grey = middle_mean(flat.part(place).reshape(-1, 3)) / light.at([card.CARD_PLACE])[0]
    return float(grey @ LUMINANCE / (white @ LUMINANCE))
