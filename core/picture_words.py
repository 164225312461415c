"""Words written over a picture, legible on any passage."""

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from core.assets import font_file

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

LIGHT: Colour = (250, 250, 250)
DARK: Colour = (20, 20, 20)


def numbered(picture: Pixels, labels: list[tuple[float, float, str]], height_px: float) -> Pixels:
    """``labels`` over a picture ``(H, W, 3)``, their middles at x, y in pixels, dark with a light rim."""
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    font = ImageFont.truetype(str(font_file("SemiBold")), max(12, round(height_px)))
    rim = max(2, round(height_px / 9))
    for x, y, text in labels:
        pen.text((x, y), text, font=font, anchor="mm", fill=DARK, stroke_width=rim, stroke_fill=LIGHT)
    return np.array(image)
