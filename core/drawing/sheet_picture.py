"""Pages as pixels: for the window's preview and for pictures, without any reader of PDF."""

import math
from itertools import groupby

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Drawing, Line
from core.drawing.raster import line_cover
from core.drawing.sheet_page import Page, Words
from core.drawing.sheet_type import typeface
from core.size import MM_PER_INCH

_SHIFT = 6  # 1/64 pixel
_FINER = 4
_SMALLEST_PX = 3.0  # smaller letters are a grey streak


def page_pixels(page: Page, px_per_mm: float) -> NDArray[np.uint8]:
    """The page as grey codes ``(H, W)`` uint8, 255 white paper; pixel (row, column) is centred at
    ``((column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm)`` mm."""
    shape = round(page.paper.height_mm * px_per_mm), round(page.paper.width_mm * px_per_mm)
    grey = np.full(shape, 255, dtype=np.uint8)
    for fill in page.fills:
        fixed = np.rint((fill.points * px_per_mm - 0.5) * (1 << _SHIFT)).astype(np.int32).reshape(-1, 1, 2)
        cv2.fillPoly(grey, [fixed], round(255 * fill.grey), cv2.LINE_AA, _SHIFT)
    for (width, tone), strokes in groupby(page.strokes, key=lambda stroke: (stroke.width_mm, stroke.grey)):
        lines = tuple(Line.through(stroke.points) for stroke in strokes)
        _darken(grey, line_cover(shape, Drawing(page.paper, lines), px_per_mm, line_weight_mm=width), tone)
    for words in page.words:
        _set_words(grey, words, px_per_mm)
    return grey


def px_per_mm_of(dpi: float) -> float:
    """Pixels on a millimetre."""
    return dpi / MM_PER_INCH


def _darken(grey: NDArray[np.uint8], cover: NDArray[np.uint8], tone: float) -> None:
    """Lay ink of one tone over the paper, in place; a band at a time, to spare memory."""
    for top in range(0, grey.shape[0], 512):
        band, share = grey[top : top + 512], cover[top : top + 512].astype(np.float32) / 255.0
        under = band.astype(np.float32)
        band[...] = np.rint(under + share * (255.0 * tone - under)).astype(np.uint8)


def _set_words(grey: NDArray[np.uint8], words: Words, px_per_mm: float) -> None:
    """Set larger and shrunk: at their own size, small letters would be moved to whole pixels."""
    from PIL import Image, ImageDraw

    size = words.size_pt * MM_PER_INCH / 72.0 * px_per_mm
    if size < _SMALLEST_PX or not words.text:
        return
    face = typeface(words.weight, size * _FINER)
    rise, drop = (-(-side // _FINER) + 1 for side in face.getmetrics())
    long = float(face.getlength(words.text)) / _FINER
    x, y = words.x_mm * px_per_mm, words.y_mm * px_per_mm
    start = long * {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor]
    along, across = {0: (x, y), 90: (-y, x), 270: (y, -x)}[words.turn]
    left, base = math.floor(along - start) - 1, math.floor(across)
    wide, high = math.ceil(long) + 4, rise + drop + 1
    plate = Image.new("L", (wide * _FINER, high * _FINER))
    at = ((along - start - left) * _FINER, (rise + across - base) * _FINER)
    ImageDraw.Draw(plate).text(at, words.text, fill=255, font=face, anchor="ls")
    cover = cv2.resize(np.asarray(plate), (wide, high), interpolation=cv2.INTER_AREA)
    top = base - rise
    corner = {0: (left, top), 90: (top, -left - wide), 270: (-top - high, left)}[words.turn]
    _lay(grey, np.rot90(cover, words.turn // 90), *corner, words.grey)


def _lay(grey: NDArray[np.uint8], cover: NDArray[np.uint8], left: int, top: int, tone: float) -> None:
    rows = slice(max(top, 0), min(top + cover.shape[0], grey.shape[0]))
    columns = slice(max(left, 0), min(left + cover.shape[1], grey.shape[1]))
    if rows.start < rows.stop and columns.start < columns.stop:
        part = cover[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
        _darken(grey[rows, columns], part, tone)
