"""One photo of a progress film as it is seen: laid flat, in the film's light, the drawing over it, its title beneath.

The title has a strip of its own under the picture: nothing of the painting is covered.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from core.assets import font_file
from core.canvas.lay_flat import lay_flat
from core.errors import CanvasError
from core.photo import Photo
from core.progress_film.film import FilmShot, Over, Overlay, ProgressFilm
from core.progress_film.match import Matched
from core.tone import display_of_linear

Pixels = NDArray[np.uint8]

GROUND, INK = (28, 28, 28), (240, 240, 240)
_STRIP, _LETTERS, _MARGIN = 0.052, 0.5, 0.4
"""Height of the title's strip as a share of the width, of its letters and of its margin as shares of the strip."""
_LEAST_STRIP, _LEAST_LETTERS = 20, 9
_SHIFT = 5  # cv2's places in 32nds of a pixel
_USUAL_WIDTH = 1000.0


@dataclass(frozen=True)
class Layout:
    """Sizes in px, all even: ``picture_high`` of the painting, ``strip`` of what is beneath it."""

    width: int
    picture_high: int
    strip: int

    @property
    def height(self) -> int:
        return self.picture_high + self.strip


def layout(film: ProgressFilm, *, width_px: int | None = None, titled: bool | None = None) -> Layout:
    """How large the pictures of a film are, ``width_px`` wide (None: as its settings say), made even."""
    width = _even(film.settings.width_px if width_px is None else width_px)
    high = _even(film.size.height_mm * width / film.size.width_mm)
    if titled is None:
        titled = film.settings.titles and any(shot.title for shot in film.shots)
    return Layout(width, high, _even(max(_LEAST_STRIP, _STRIP * width)) if titled else 0)


def still(
    film: ProgressFilm, number: int, photo: Photo, matched: Matched, size: Layout, *, title: str | None = None
) -> Pixels:
    """sRGB codes ``(size.height, size.width, 3)`` of photo ``number`` in order. ``title``: None for the shot's own.

    Raises CanvasError, naming the photo, when it cannot be laid flat.
    """
    shot = film.in_order[number]
    picture = painting(film, shot, photo, matched, size)
    if film.overlay is not None and _lies_over(film.overlay, number, len(film.shots)):
        picture = drawn_over(picture, film.overlay, film.size.width_mm)
    return titled(picture, shot.title if title is None else title, size.strip)


def painting(film: ProgressFilm, shot: FilmShot, photo: Photo, matched: Matched, size: Layout) -> Pixels:
    """The painting alone, ``(size.picture_high, size.width, 3)``."""
    px_per_mm = size.width / film.size.width_mm
    try:
        flat = lay_flat(photo, matched.corners_px, film.size, k1=shot.lens_k1, px_per_mm=px_per_mm)
    except CanvasError as error:
        raise CanvasError(f"“{shot.called}”: {error}") from None
    linear = flat.linear
    if matched.gain is not None:
        gain = cv2.resize(matched.gain, linear.shape[1::-1], interpolation=cv2.INTER_LINEAR)
        linear = np.asarray(cv2.multiply(linear, gain))
    return _to_height(display_of_linear(linear), size)


def drawn_over(picture: Pixels, overlay: Overlay, width_mm: float) -> Pixels:
    """The lines over a picture ``(h, w, 3)`` that is ``width_mm`` wide; pixel centres lie at half mm over px per mm."""
    width = picture.shape[1]
    px_per_mm = width / width_mm
    lines = [
        np.rint((np.asarray(line, dtype=np.float64) * px_per_mm - 0.5) * 2**_SHIFT).astype(np.int32).reshape(-1, 1, 2)
        for line in overlay.lines_mm
        if len(line) >= 2 and np.isfinite(line).all()
    ]
    cover = np.zeros(picture.shape[:2], np.uint8)
    thick = max(1, round(overlay.width_px * width / _USUAL_WIDTH))
    cv2.polylines(cover, lines, False, 255, thick, cv2.LINE_AA, _SHIFT)
    share = (cover.astype(np.float32) * np.float32(np.clip(overlay.opacity, 0, 1) / 255))[..., None]
    over = picture + share * (np.array(overlay.colour, np.float32) - picture)
    return np.asarray(np.rint(over)).astype(np.uint8)


def titled(picture: Pixels, title: str, strip: int) -> Pixels:
    """The picture with a strip of ``strip`` px beneath, the title in it; letters shrink, then it is cut with an
    ellipsis, until it fits."""
    if not strip:
        return picture
    beneath = Image.new("RGB", (picture.shape[1], strip), GROUND)
    if title.strip():
        margin = round(_MARGIN * strip)
        words, font = _fitting(" ".join(title.split()), strip, picture.shape[1] - 2 * margin)
        ImageDraw.Draw(beneath).text((margin, strip / 2), words, font=font, anchor="lm", fill=INK)
    return np.concatenate([picture, np.asarray(beneath)])


def _fitting(words: str, strip: int, width: int) -> tuple[str, ImageFont.FreeTypeFont]:
    letters = max(_LEAST_LETTERS, round(_LETTERS * strip))
    font = ImageFont.truetype(str(font_file("Medium")), letters)
    while letters > max(_LEAST_LETTERS, round(_LETTERS * strip / 2)) and font.getlength(words) > width:
        letters -= 1
        font = ImageFont.truetype(str(font_file("Medium")), letters)
    if font.getlength(words) <= width:
        return words, font
    while words and font.getlength(f"{words}…") > width:
        words = words[:-1].rstrip()
    return f"{words}…", font


def _lies_over(overlay: Overlay, number: int, count: int) -> bool:
    return overlay.over is Over.ALL or number == (0 if overlay.over is Over.FIRST else count - 1)


def _to_height(picture: Pixels, size: Layout) -> Pixels:
    """A row more or less, so that the height is even: the last is doubled or left out, nothing is stretched."""
    lacking = size.picture_high - picture.shape[0]
    picture = np.pad(picture, ((0, max(0, lacking)), (0, 0), (0, 0)), mode="edge") if lacking > 0 else picture
    return np.ascontiguousarray(picture[: size.picture_high, : size.width])


def _even(length: float) -> int:
    return max(2, 2 * int(length / 2 + 0.5))
