"""What stands against a photo of a swatch card, each as a sentence that says what to do."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, delta_e_2000, lab
from core.paint import swatch_card as card
from core.paint.swatch_find import AROUND_MM, FlatCard
from core.paint.swatch_light import CardLight
from core.tone import luminance_of_linear

Floats = NDArray[np.float64]

MOST_BLUR_MM, MOST_FALL_OFF, MOST_LEFT, MOST_STRAYED = 0.6, 2.2, 0.045, 0.3
MOST_SPREAD, MOST_SHINE, MOST_SHOWS, MOST_BURNT = 0.09, 0.08, 4.0, 0.02
LEAST_WHITE, MOST_BLACK, LEAST_DIFFERENT = 0.10, 0.16, 2.0
WHITE_BESIDE_PAPER = (0.72, 1.35)
_OUT_OF_ORDER = 0.02
MOST_SHINE_BURNT, MOST_CARD_OFF = 0.6, 1.7
_WHITE_ABOUT = 0.92
_ACROSS = 2.56
"""Sigmas of a blur from a tenth to nine tenths of a step."""
"""Limits, ours; how often they refuse good and bad photos stands in ``core.paint.swatch_read``."""


@dataclass(frozen=True, eq=False)
class Seen:
    """A square in even light: ``linear`` ``(3,)`` of its even part, as the camera exposed it; ``over_bar`` the same
    over the printed bar; ``spread``: its unevenness, a share of its light; ``shines``, ``burnt``: shares of it."""

    square: card.Square
    linear: Floats
    over_bar: Floats
    spread: float
    shines: float
    burnt: float


def problems_of(seen: Sequence[Seen], light: CardLight, blur_mm: float, flat: FlatCard) -> tuple[str, ...]:
    """Every sentence, the gravest first; none for a photo that can be gone by."""
    of_photo = [*_exposure(seen), *_sharpness(blur_mm), *_evenness(light, flat)]
    of_paint = _squares(seen)
    return (*of_photo, *of_paint, *([] if of_photo or of_paint else _relations(seen, light)))


def grey_card_problems(shown: float, stated: float) -> tuple[str, ...]:
    """Whether what lies at the grey card's place, ``shown`` beside the white, can be a card of ``stated`` reflectance.
    No sentence where it can."""
    if 1 / MOST_CARD_OFF <= shown / (stated / _WHITE_ABOUT) <= MOST_CARD_OFF:
        return ()
    return (
        f"What lies at the grey card’s place does not look like a card that reflects {stated:.0%}. Lay the card there, "
        "matt side up, give the figure printed on it, or do without.",
    )


def sharpness_mm(flat: FlatCard) -> float:
    """Sigma, mm, of the blur across the outer sides of the corner marks: steps of black to paper. 0 where none is seen.

    The steepest slope of a step of height h blurred by sigma is h/(sigma sqrt(2 pi)).
    """
    light = luminance_of_linear(flat.linear).astype(np.float64)
    px = flat.px_per_mm
    told = []
    for rect in card.mark_rects():
        for turned in (False, True):
            picture = light.T if turned else light
            left, top = (rect.top, rect.left) if turned else (rect.left, rect.top)
            # The side that looks into the block has printed paper beside it on every card.
            inward = left + rect.width if left < (card.HEIGHT_MM if turned else card.WIDTH_MM) / 2 else left
            rows = slice(round((top + 3 + AROUND_MM) * px), round((top + 17 + AROUND_MM) * px))
            at = (inward + AROUND_MM) * px
            # Within the mark's own black border, which is a module wide.
            columns = slice(round(at - 2.6 * px), round(at + 2.6 * px))
            profiles = picture[rows, columns]
            height = np.abs(profiles[:, :2].mean(axis=1) - profiles[:, -2:].mean(axis=1))
            slope = np.abs(profiles[:, 2:] - profiles[:, :-2]).max(axis=1) / 2 * px
            good = height > 0.05 * max(float(light.max()), 1e-9)
            told.extend((height[good] / slope[good] / np.sqrt(2 * np.pi)).tolist())
    return float(np.median(told)) if told else 0.0


def _exposure(seen: Sequence[Seen]) -> list[str]:
    # A square that is burnt out in part shines; one that is so as a whole got too much light.
    burnt = [each for each in seen if each.burnt > (MOST_BURNT if each is seen[0] else MOST_SHINE_BURNT)]
    if burnt:
        return [
            f"The square “{burnt[0].square.name}” is burnt out in the photo. Expose less: tap on the white square, or "
            "turn the exposure down a stop."
        ]
    if float(seen[0].linear @ LUMINANCE) < LEAST_WHITE:
        return ["The photo is too dark to tell the colours. Photograph the card again in more daylight."]
    return []


def _sharpness(blur_mm: float) -> list[str]:
    if blur_mm <= MOST_BLUR_MM:
        return []
    return [
        f"The photo is not sharp: it blurs edges over {_ACROSS * blur_mm:.1f} mm. Stand the camera on something firm, "
        "tap on the card to focus, and use the timer."
    ]


def _evenness(light: CardLight, flat: FlatCard) -> list[str]:
    told = []
    if light.fall_off > MOST_FALL_OFF:
        told.append(
            f"The light falls off too much: one side of the card is {light.fall_off:.1f} times as bright as the other. "
            "Go further from the window, or turn the card so that it is lit alike."
        )
    if light.left > MOST_LEFT or light.strayed > MOST_STRAYED:
        told.append(
            "The printed greys do not agree about the light: a shadow, shine or smears lie on the card. Photograph it "
            "without a shadow across it, with its greys clean."
        )
    black = _black(flat, light)
    if black > MOST_BLACK:
        told.append(
            "The black of the corner marks looks grey, so that shine or haze lies over the card. Turn the card away "
            "from the window's reflection, and wipe the lens."
        )
    return told


def _black(flat: FlatCard, light: CardLight) -> float:
    """The lightest of the marks' blacks, beside the paper or, where that is burnt out, the lightest grey."""
    paper = light.levels[-1] @ LUMINANCE
    if not np.isfinite(paper):
        paper = light.levels[-2] @ LUMINANCE / card.GREYS[-1]
    module = card.MARK_MM / card.MODULES
    told = []
    for rect in card.mark_rects():
        rim = card.Rect(rect.left + 0.8, rect.top + 0.8, rect.width - 1.6, module - 1.6)
        black = np.median(flat.part(rim).reshape(-1, 3), axis=0) @ LUMINANCE
        told.append(float(black / (light.at([rect])[0] @ LUMINANCE)))
    return float(max(told) / paper) if np.isfinite(paper) else 0.0


def _squares(seen: Sequence[Seen]) -> list[str]:
    told = []
    white = seen[0].linear
    for each in seen:
        name = f"“{each.square.name}”"
        shows = float(delta_e_2000(lab(each.over_bar / white), lab(each.linear / white)))
        if max(each.shines, each.burnt) > MOST_SHINE:
            told.append(f"The square {name} shines. Turn the card, or step aside, until no light mirrors in it.")
        elif shows > MOST_SHOWS:
            told.append(
                f"The black bar shows through the square {name}, or it is not painted. Paint it more thickly, in two "
                "coats if the colour is transparent."
            )
        elif each.spread > MOST_SPREAD:
            told.append(
                f"The square {name} is uneven: streaks or ridges. Stir the paint until no streak is left, and paint it "
                "smooth."
            )
    return told


def _relations(seen: Sequence[Seen], light: CardLight) -> list[str]:
    """Whether the squares can be what the card says: each tint between the two that it is mixed from."""
    white, tube = seen[0], seen[1]
    paper = light.levels[-1] @ LUMINANCE
    beside_paper = float(white.linear @ LUMINANCE / paper)
    low, high = WHITE_BESIDE_PAPER
    if np.isfinite(paper) and not low <= beside_paper <= high:
        return [
            "The square “white alone” is not as a white beside the paper. Paint it with the white that you mixed with, "
            "and nothing else."
        ]
    by_share = sorted(seen, key=lambda each: -each.square.share)
    bright = [float(each.linear @ LUMINANCE / (white.linear @ LUMINANCE)) for each in by_share]
    if any(one > other + _OUT_OF_ORDER for one, other in pairwise(bright)):
        return [
            "The squares do not grow lighter from the tube alone to the weak tint and the white. Check that none was "
            "painted with another mixture, and tell the program what you weighed."
        ]
    apart = delta_e_2000(lab(tube.linear / white.linear), lab(np.ones(3)))
    if float(apart) < LEAST_DIFFERENT:
        return ["The tube cannot be told from the white in this photo. A white needs no swatch card."]
    return []
