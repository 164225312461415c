"""The light on a canvas photo as one picture to read by itself: how it falls, its colour, how the photo is exposed."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from core.assets import font_file
from core.colorimetry import encode_srgb, luminance_of_value
from core.picture_words import numbered
from core.size import Size
from core.value.light import LightCorrection
from core.value.light_pictures import (
    CONTOUR_STEPS,
    NEUTRAL_VALUE,
    LightPictures,
    contour_figures,
    field_scale,
    light_pictures,
)

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]
Box = tuple[int, int, int, int]
"""Left, top, right and bottom, px; the last two lie outside."""

FIELD_LONG, FIELD_HIGH = 900, 760
SIDE_WIDE = 540
_MARGIN, _GAP = 56, 64
_GROUND: Colour = (235, 235, 235)
_INK: Colour = (28, 28, 28)
_SOFT: Colour = (90, 90, 90)
_TITLE, _HEAD, _BODY, _NOTE = 40, 28, 25, 22
_LEADING = 1.35
_SCALE_WIDE, _SCALE_HIGH, _SWATCH_HIGH, _BAR_HIGH, _TICK = 400, 34, 150, 34, 10
_STOPS = (-4, 1)
"""The least and the most that the exposure's axis shows; it is drawn out for a photo that lies beyond."""
_BALANCE = "Left: a light grey as it comes out in this photo. Right: the same grey in neutral light."
_EXPOSURE = (
    "Stops below (−) or above (+) what just fills the camera's range; one stop is twice the light. Above 0 white is "
    "burnt out."
)
_FIELD = (
    "Munsell steps by which a middle grey looks lighter (+) or darker (−) there than on average, by the light alone; a "
    f"line at each {CONTOUR_STEPS:g} step."
)


@dataclass(frozen=True)
class LightSheet:
    """The picture ``pixels`` ``(h, w, 3)`` sRGB and where its parts lie. ``exposure`` runs from the least to the most
    of ``stops``, the bar in it from 0 to the photo's exposure."""

    pixels: Pixels
    field: Box
    scale: Box
    seen: Box
    neutral: Box
    exposure: Box
    stops: tuple[int, int]


def light_sheet(correction: LightCorrection, size: Size, *, photo: str = "", certainty: str = "") -> LightSheet:
    """The light that ``correction`` took out, drawn. ``photo``: its name; ``certainty``: a sentence about how the light
    was found."""
    of = f"{f'{photo} · ' if photo else ''}canvas {size.in_cm()} ({size.in_inches()})"
    return _Sheet(light_pictures(correction, field_size(size)), of, certainty).drawn()


def field_size(size: Size, long: int = FIELD_LONG, high: int = FIELD_HIGH) -> tuple[int, int]:
    """Width and height, px, of a picture of the whole canvas within ``long`` across and ``high`` down."""
    scale = min(long / size.width_mm, high / size.height_mm)
    return max(2, round(size.width_mm * scale)), max(2, round(size.height_mm * scale))


def neutral_grey() -> Colour:
    """The light grey of the swatch in neutral light."""
    code = round(255 * float(encode_srgb(float(luminance_of_value(NEUTRAL_VALUE)))))
    return code, code, code


def stops_shown(exposure_stops: float) -> tuple[int, int]:
    """The whole stops at the two ends of the axis."""
    return min(_STOPS[0], math.floor(exposure_stops)), max(_STOPS[1], math.ceil(exposure_stops))


class _Sheet:
    """The page while it is being drawn, column by column."""

    def __init__(self, light: LightPictures, of: str, certainty: str) -> None:
        self._light, self._of, self._certainty = light, of, certainty
        high, wide = light.field.shape[:2]
        self._left = _MARGIN
        self._side: int = _MARGIN + max(wide, SIDE_WIDE) + _GAP
        self._image = Image.new("RGB", (self._side + SIDE_WIDE + _MARGIN, high + 1600), _GROUND)
        self._pen = ImageDraw.Draw(self._image)

    def drawn(self) -> LightSheet:
        top = self._words("The light on the canvas photo", self._left, _MARGIN, _TITLE, "SemiBold")
        top = self._words(self._of, self._left, top, _NOTE, fill=_SOFT) + 24
        wide = self._image.width - 2 * _MARGIN
        field, scale, foot = self._field(top)
        seen, neutral, below = self._balance(top)
        exposure, stops, below = self._exposure(below + 32)
        foot = max(foot, below) + 24
        self._pen.line((self._left, foot, self._left + wide, foot), _SOFT, 2)
        foot += 22
        for sentence in (*self._light.words, self._certainty):
            if sentence:
                foot = self._words(sentence, self._left, foot, _BODY, width=wide) + 10
        page = self._image.crop((0, 0, self._image.width, foot + _MARGIN - 10))
        return LightSheet(np.array(page), field, scale, seen, neutral, exposure, stops)

    def _field(self, top: int) -> tuple[Box, Box, int]:
        light = self._light
        high, wide = light.field.shape[:2]
        top = self._words("How it falls over the canvas", self._left, top, _HEAD, "SemiBold") + 12
        figures = contour_figures(light.field_steps)
        labels = [(each.x * wide, each.y * high, each.words) for each in figures]
        field = self._paste(numbered(light.field, labels, _NOTE), self._left, top)
        low, most = light.reach_steps
        ramp = field_scale(light.reach_steps, (max(wide, _SCALE_WIDE), _SCALE_HIGH))
        scale = self._paste(ramp, self._left, field[3] + 20)
        foot = self._ends(scale, f"darkest {_signed(low)}", f"lightest {_signed(most)}")
        return field, scale, self._words(_FIELD, self._left, foot + 8, _NOTE, width=max(wide, SIDE_WIDE), fill=_SOFT)

    def _balance(self, top: int) -> tuple[Box, Box, int]:
        top = self._words("Its colour", self._side, top, _HEAD, "SemiBold") + 12
        half = SIDE_WIDE // 2
        boxes = []
        for left, colour in (
            (self._side, tuple(int(code) for code in self._light.balance)),
            (self._side + half, neutral_grey()),
        ):
            swatch = np.broadcast_to(np.array(colour, np.uint8), (_SWATCH_HIGH, half, 3))
            boxes.append(self._paste(np.ascontiguousarray(swatch), left, top))
        foot = self._words(_BALANCE, self._side, boxes[0][3] + 12, _NOTE, width=SIDE_WIDE, fill=_SOFT)
        return boxes[0], boxes[1], foot

    def _exposure(self, top: int) -> tuple[Box, tuple[int, int], int]:
        stops, at = stops_shown(self._light.exposure_stops), self._light.exposure_stops
        top = self._words(f"How white is exposed, in stops: {_signed(at)}", self._side, top, _HEAD, "SemiBold") + 12
        inset = 20
        left, right = self._side + inset, self._side + SIDE_WIDE - inset
        axis = (left, top, right, top + _BAR_HIGH)

        def x_of(stop: float) -> int:
            return round(left + (stop - stops[0]) / (stops[1] - stops[0]) * (right - left))

        ends = sorted((x_of(at), x_of(0)))
        if ends[1] > ends[0]:
            self._pen.rectangle((ends[0], axis[1], ends[1] - 1, axis[3] - 1), _INK)
        self._pen.line((left, axis[3] + 2, right, axis[3] + 2), _SOFT, 2)
        font = _font(_NOTE)
        for stop in range(stops[0], stops[1] + 1):
            self._pen.line((x_of(stop), axis[3] + 2, x_of(stop), axis[3] + 2 + _TICK), _SOFT, 2)
            self._pen.text((x_of(stop), axis[3] + 6 + _TICK), _signed(stop, 0), _INK, font, anchor="mt")
        foot = axis[3] + 6 + _TICK + round(_LEADING * _NOTE) + 6
        return axis, stops, self._words(_EXPOSURE, self._side, foot, _NOTE, width=SIDE_WIDE, fill=_SOFT)

    def _ends(self, box: Box, low: str, high: str) -> int:
        """Words under the two ends of a box; gives their foot."""
        font = _font(_NOTE)
        self._pen.text((box[0], box[3] + 6), low, _INK, font)
        self._pen.text((box[2], box[3] + 6), high, _INK, font, anchor="ra")
        return box[3] + 6 + round(_LEADING * _NOTE)

    def _paste(self, picture: Pixels, left: int, top: int) -> Box:
        self._image.paste(Image.fromarray(picture), (left, top))
        return left, top, left + picture.shape[1], top + picture.shape[0]

    def _words(
        self,
        words: str,
        left: int,
        top: int,
        size: int,
        weight: str = "Regular",
        *,
        width: int = 10_000,
        fill: Colour = _INK,
    ) -> int:
        """Words in lines of at most ``width``; gives their foot."""
        font = _font(size, weight)
        for line in _lines(words, font, width):
            self._pen.text((left, top), line, fill, font)
            top += round(_LEADING * size)
        return top


def _font(size: int, weight: str = "Regular") -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(font_file(weight)), size)


def _lines(words: str, font: ImageFont.FreeTypeFont, width: int) -> list[str]:
    lines = [""]
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}".lstrip()
        if lines[-1] and font.getlength(longer) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _signed(number: float, places: int = 1) -> str:
    """With its sign: ``+0.3``, ``−0.4`` or ``0.0``."""
    said = f"{abs(number):.{places}f}"
    return said if float(said) == 0 else f"{'+' if number > 0 else '−'}{said}"
