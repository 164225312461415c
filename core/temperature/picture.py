"""Warmth as pictures: relative to the surround, warmer in ochres and cooler in blues; and the lean of near-neutrals.

Ochre against blue is the pair that protan and deutan sight keeps. Both sides go through the same lightnesses, darker
the further from grey, so that neither looks nearer and the lightness says how far, the hue which way.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, WHITE, XYZ_TO_RGB
from core.temperature.warmth import USUAL_WORDS, Map, WarmthWords, lab_map
from core.tone import display_of_linear, strips

Rgb = tuple[int, int, int]
Entry = tuple[str, Rgb, tuple[float, float]]

_COOL: tuple[Rgb, ...] = ((0, 94, 173), (65, 141, 210), (146, 186, 229))
_SAME: Rgb = (215, 215, 215)
_WARM: tuple[Rgb, ...] = ((223, 172, 125), (191, 121, 47), (138, 77, 3))
_WITHHELD: Rgb = (112, 112, 112)
COLOURS: tuple[Rgb, ...] = (*_COOL, _SAME, *_WARM, _WITHHELD)
"""From much cooler to much warmer, then withheld; sRGB."""
LIGHT_FAMILY, SHADOW_FAMILY = 215, 78
"""sRGB codes of the greys in which the two families are shown."""
FACTOR, NEUTRAL_CHROMA = 4.0, 15.0
_FADE = 1.5
_STRIP_PIXELS = 80_000


def warmth_picture(
    relative: NDArray[Any],
    *,
    uncertainty: float | NDArray[Any] = 0.0,
    strength: float = 1.0,
    words: WarmthWords = USUAL_WORDS,
) -> NDArray[np.uint8]:
    """Relative or compared warmth ``(H, W)`` (NaN: withheld) as sRGB ``(H, W, 3)`` uint8, in flat bands.

    The bands are those of the ``words``; ``strength`` above 1 draws them nearer together. Grey where it is undecided:
    nearer to 0 than ``words.same`` or than the ``uncertainty`` (one, or ``(H, W)``), whatever the strength. Withheld is
    crosshatched. ValueError unless the strength is above 0.
    """
    given = np.asarray(relative, dtype=np.float32)
    band = np.full(given.shape, len(_COOL), np.uint8)
    for limit in _limits(strength, words):
        band += given >= limit
        band -= given <= -limit
    band[np.abs(given) < np.asarray(uncertainty, dtype=np.float32)] = len(_COOL)
    withheld = np.isnan(given)
    band[withheld] = len(COLOURS) - 1
    shown = np.array(COLOURS, dtype=np.uint8)[band]
    if withheld.any():
        shown[withheld & _crossed(given.shape)] = _SAME
    return shown


def legend(strength: float = 1.0, words: WarmthWords = USUAL_WORDS) -> list[Entry]:
    """What each colour means, from cool to warm and then withheld: ``(label, (r, g, b), (low, high))``.

    ``low`` and ``high`` are T against the surround; infinite at the ends, NaN where withheld.
    """
    limits = _limits(strength, words)
    entries: list[Entry] = []
    for k, (low, high) in enumerate(zip(limits, (*limits[1:], float("inf")), strict=True)):
        size = f"more than {low:.3g}" if high == float("inf") else f"{low:.3g} to {high:.3g}"
        entries.append((f"{size} warmer", _WARM[k], (low, high)))
        entries.insert(0, (f"{size} cooler", _COOL[-1 - k], (-high, -low)))
    entries.insert(len(limits), (f"the same, within {limits[0]:.3g}, or undecided", _SAME, (-limits[0], limits[0])))
    entries.append(("withheld: cannot be judged", _WITHHELD, (float("nan"), float("nan"))))
    return entries


def difference_legend(words: WarmthWords = USUAL_WORDS) -> list[Entry]:
    """The same for a canvas against its reference, in T, canvas minus reference."""
    said = (("warmer", "too warm"), ("cooler", "too cool"))
    entries = legend(words=words)
    for before, after in said:
        entries = [(label.replace(before, after), colour, ends) for label, colour, ends in entries]
    return entries


def lean_picture(
    linear: NDArray[Any], *, factor: float = FACTOR, below_chroma: float | None = NEUTRAL_CHROMA
) -> NDArray[np.uint8]:
    """Which way near-neutrals lean: chroma ``factor`` times as far from its own mean, as sRGB ``(H, W, 3)`` uint8.

    Only colours of linear light ``(H, W, 3)`` whose C* is under ``below_chroma`` are drawn apart, fading out to those
    of half as much again, which stay as they are; None: all. Lightness is kept; what the screen cannot show is drawn
    towards grey of its luminance. NaN is black. ValueError unless both numbers are above 0.
    """
    if not factor > 0 or (below_chroma is not None and not below_chroma > 0):
        raise ValueError(f"factor and below_chroma must be above 0, got {factor} and {below_chroma}")
    colour = lab_map(np.nan_to_num(np.asarray(linear, dtype=np.float32)))
    share = _share(colour, below_chroma)
    total = max(float(share.sum()), 1e-9)
    mean = [float((share * colour[..., k]).sum() / total) for k in (1, 2)]
    shown = np.empty(colour.shape, np.uint8)
    for rows in strips(colour.shape, _STRIP_PIXELS):
        part, by = colour[rows], share[rows] * np.float32(factor - 1)
        for k in (1, 2):
            part[..., k] += by * (part[..., k] - np.float32(mean[k - 1]))
        shown[rows] = display_of_linear(_within_gamut(_linear_of(part)))
    return shown


def families_picture(in_light: NDArray[np.bool_], known: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """The light family ``in_light`` ``(H, W)`` in a light grey and the rest of what is ``known`` in a dark one, as sRGB
    ``(H, W, 3)`` uint8; what is not known is crosshatched."""
    grey = np.where(in_light, LIGHT_FAMILY, SHADOW_FAMILY).astype(np.uint8)
    if not known.all():
        grey[~known] = _WITHHELD[0]
        grey[~known & _crossed(grey.shape)] = _SAME[0]
    return np.repeat(grey[..., None], 3, axis=2)


def _limits(strength: float, words: WarmthWords) -> tuple[float, float, float]:
    """The first is never drawn nearer: under it the answer is the same."""
    if not strength > 0:
        raise ValueError(f"the strength must be above 0, got {strength}")
    same = words.same / min(strength, 1.0)
    return same, same + (words.touch - words.same) / strength, same + (words.much - words.same) / strength


def _crossed(shape: tuple[int, ...]) -> NDArray[np.bool_]:
    line = max(1, round(min(shape) / 900))
    row, column = np.ogrid[: shape[0], : shape[1]]
    row, column = row // line, column // line
    return np.asarray(((row + column) % 12 == 0) | ((column - row) % 12 == 0))


def _share(colour: Map, below_chroma: float | None) -> Map:
    """1 for colours to be drawn apart, 0 for those to be left, between in the fade."""
    if below_chroma is None:
        return np.ones(colour.shape[:2], np.float32)
    chroma = cv2.magnitude(np.ascontiguousarray(colour[..., 1]), np.ascontiguousarray(colour[..., 2]))
    return np.asarray(
        np.clip((_FADE * below_chroma - chroma) / ((_FADE - 1) * below_chroma), 0.0, 1.0), dtype=np.float32
    )


def _linear_of(colour: Map) -> Map:
    """Linear light of CIELAB."""
    roots = np.asarray(cv2.transform(colour, _TO_ROOTS))
    relative = np.where(roots > np.float32(6 / 29), roots**3, np.float32(108 / 841) * (roots - np.float32(4 / 29)))
    return np.asarray(cv2.transform(relative.astype(np.float32), _FROM_RELATIVE_XYZ))


def _within_gamut(light: Map) -> Map:
    """Drawn towards the grey of the same luminance as far as the screen needs."""
    grey = np.clip(cv2.transform(light, LUMINANCE.astype(np.float32).reshape(1, 3)), 0.0, 1.0)
    grey = grey.reshape(*light.shape[:2], 1)
    off = light - grey
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.where(off > 0, (1 - grey) / off, np.where(off < 0, -grey / off, np.inf)).min(axis=2, keepdims=True)
    return np.asarray(grey + np.minimum(room, 1.0).astype(np.float32) * off, dtype=np.float32)


_TO_ROOTS = np.array(
    [[1 / 116, 1 / 500, 0, 16 / 116], [1 / 116, 0, 0, 16 / 116], [1 / 116, 0, -1 / 200, 16 / 116]], dtype=np.float32
)
_FROM_RELATIVE_XYZ = (XYZ_TO_RGB * WHITE).astype(np.float32)
