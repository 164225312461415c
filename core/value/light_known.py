"""Places on the canvas face whose paint or paper is known: cards of a stated value, an unpainted margin."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.colorimetry import luminance_of_value
from core.value.light_fit import Pins
from core.value.light_grid import Mask, cell_means, clipped, judged

_FEWEST_PIXELS = 20
_DARKEST = 1e-4


@dataclass(frozen=True)
class Card:
    """A neutral patch of known Munsell ``value`` in the plane of the canvas: a disc about ``x_mm, y_mm``, or a
    polygon of ``(x, y)`` mm, in which case the point only says where it is."""

    x_mm: float
    y_mm: float
    value: float
    radius_mm: float = 5.0
    polygon_mm: tuple[tuple[float, float], ...] | None = None


@dataclass(frozen=True)
class Margin:
    """An unpainted strip of neutral paint of known Munsell ``value`` along the four sides, ``width_mm`` wide."""

    value: float
    width_mm: float


def known_cover(canvas: Flat, cards: Sequence[Card], margin: Margin | None) -> Mask:
    """``(H, W)`` bool: where a card or the margin lies, which is not to be compared with the reference."""
    cover = np.zeros(canvas.linear.shape[:2], np.uint8)
    for card in cards:
        _draw(cover, card, canvas.px_per_mm, grow_mm=1.0)
    if margin is not None:
        strip = max(1, round(margin.width_mm * canvas.px_per_mm))
        cover[:strip] = cover[-strip:] = 1
        cover[:, :strip] = cover[:, -strip:] = 1
    return np.asarray(cover > 0)


def card_pins(
    canvas: Flat, cards: Sequence[Card], withheld: Mask | None, shape: tuple[int, int]
) -> tuple[Pins, tuple[str, ...]]:
    """The light at every card on a grid of ``shape``, and a sentence for each card that could not be used."""
    rows, columns, logs, notes = [], [], [], []
    usable, full = judged(canvas, withheld) > 0, clipped(canvas.linear)
    for number, card in enumerate(cards, start=1):
        patch = np.zeros(canvas.linear.shape[:2], np.uint8)
        _draw(patch, card, canvas.px_per_mm, grow_mm=-0.5)
        inside = patch > 0
        good = inside & usable
        if good.sum() < max(_FEWEST_PIXELS, inside.sum() / 2):
            burnt = inside.any() and float(full[inside].mean()) > 0.3
            why = "is burnt out in the photo" if burnt else "lies outside the canvas, in glare, or is too small"
            notes.append(f"Grey card {number} {why}; it was not used.")
            continue
        light = np.median(canvas.linear[good], axis=0) / luminance_of_value(card.value)
        at = np.argwhere(inside).mean(axis=0) + 0.5
        rows.append(min(int(at[0] / inside.shape[0] * shape[0]), shape[0] - 1))
        columns.append(min(int(at[1] / inside.shape[1] * shape[1]), shape[1] - 1))
        logs.append(np.log(np.maximum(light, _DARKEST)))
    return _pins(rows, columns, logs), tuple(notes)


def margin_pins(canvas: Flat, margin: Margin, withheld: Mask | None, shape: tuple[int, int]) -> Pins:
    """The light along the margin, one pin for every cell it crosses."""
    mean, share = cell_means(canvas.linear, judged(canvas, withheld) & _strip(canvas, margin), shape)
    rows, columns = np.nonzero(share > 0.02)
    logs = np.log(np.maximum(mean[rows, columns] / luminance_of_value(margin.value), _DARKEST))
    return Pins(rows, columns, logs)


def together(*pins: Pins) -> Pins:
    """All pins as one."""
    return Pins(
        np.concatenate([p.rows for p in pins]),
        np.concatenate([p.columns for p in pins]),
        np.concatenate([p.log_light for p in pins]),
    )


def _strip(canvas: Flat, margin: Margin) -> NDArray[np.uint8]:
    """255 in the margin, held off its inner border by half a millimetre."""
    strip = np.full(canvas.linear.shape[:2], 255, np.uint8)
    inner = max(1, round((margin.width_mm - 0.5) * canvas.px_per_mm))
    strip[inner:-inner, inner:-inner] = 0
    return strip


def _draw(cover: NDArray[np.uint8], card: Card, px_per_mm: float, *, grow_mm: float) -> None:
    """Set the card's pixels to 1, grown or shrunk a little."""
    patch = np.zeros_like(cover)
    if card.polygon_mm is not None:
        corners = np.rint(np.asarray(card.polygon_mm, dtype=np.float64) * px_per_mm - 0.5).astype(np.int32)
        cv2.fillPoly(patch, [corners.reshape(-1, 1, 2)], 1)
    else:
        centre = (round(card.x_mm * px_per_mm - 0.5), round(card.y_mm * px_per_mm - 0.5))
        cv2.circle(patch, centre, max(1, round(card.radius_mm * px_per_mm)), 1, -1)
    reach = round(abs(grow_mm) * px_per_mm)
    if reach:
        around = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
        patch = cv2.dilate(patch, around) if grow_mm > 0 else cv2.erode(patch, around)
    np.maximum(cover, patch, out=cover)


def _pins(rows: list[int], columns: list[int], logs: list[NDArray[np.float64]]) -> Pins:
    log = np.stack(logs) if logs else np.zeros((0, 3))
    return Pins(np.array(rows, dtype=np.intp), np.array(columns, dtype=np.intp), log)
