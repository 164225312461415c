"""Pictures of the value question: first marks ringed and numbered on the grey reference, and the order of work."""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.first_marks_print import mark_name
from core.picture_words import DARK, LIGHT, numbered
from core.tone import grey_of_linear
from core.value.borders import borders
from core.value.steps import steps_picture
from core.values import ValuesResult

Pixels = NDArray[np.uint8]

_BORDER = (128, 128, 128)
MOST_NUMBERED = 40
"""Regions of the order of work that get a number: what comes later is small, or follows by itself."""


def marks_ground(result: ValuesResult) -> Pixels:
    """The grey reference ``(H, W, 3)`` that the first marks are shown on."""
    return np.repeat(grey_of_linear(result.keyed.linear)[..., None], 3, axis=2)


def marks_picture(result: ValuesResult) -> Pixels:
    """The grey reference with a ring about each first mark and its name: a light line in a dark one about darks, a dark
    line in a light one about lights."""
    picture = marks_ground(result)
    scale = result.keyed.px_per_mm
    line = max(1, round(0.5 * scale))
    for mark in result.marks:
        outline = np.rint(mark.outline_mm * scale * 16).astype(np.int32).reshape(-1, 1, 2)
        outer, inner = (DARK, LIGHT) if mark.kind == "dark" else (LIGHT, DARK)
        for colour, width in ((outer, 3 * line), (inner, line)):
            cv2.polylines(picture, [outline], True, colour, width, cv2.LINE_AA, 4)
    labels = [(m.x_mm * scale, m.y_mm * scale, mark_name(m)) for m in result.marks]
    return numbered(picture, labels, 0.045 * min(picture.shape[:2]))


def order_picture(result: ValuesResult, most: int = MOST_NUMBERED) -> Pixels:
    """The plan's steps with the borders of its shapes, the first of them numbered in the order of work."""
    picture = np.repeat(steps_picture(result.steps)[..., None], 3, axis=2)
    scale = result.keyed.px_per_mm
    for border in borders(result.steps.index, px_per_mm=1.0):
        points = np.rint(border.points_mm * 16).astype(np.int32).reshape(-1, 1, 2)
        cv2.polylines(picture, [points], border.closed, _BORDER, max(1, round(0.3 * scale)), cv2.LINE_AA, 4)
    labels = [(p.region.x_mm * scale, p.region.y_mm * scale, str(p.number)) for p in result.order[:most]]
    return numbered(picture, labels, 0.03 * min(picture.shape[:2]))
