"""Ink on paper has paper on both sides; the edges of a photograph's forms do not."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import skimage.data
from PIL import Image

from core.drawing.scan import scan_flatbed
from core.drawing.scan_join import Stroke as Found
from core.drawing.scan_sides import LIKE_PAPER, sides_alike
from core.errors import DrawingError
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.core.drawing.drawn_sheets import (
    Picture,
    Stroke,
    drawn,
    hand_shadow,
    paper,
    random_strokes,
    reflections,
    square_photo,
    weave,
)  # fmt: skip
from tests.studio.painter import Painted

A6 = Size(148.0, 105.0)
PX_PER_MM = 10.0


def painted(strokes: list[Stroke], seed: int, *, texture: float = 0.02, under: bool = False) -> Painted:
    rng = np.random.default_rng(seed)
    sheet = paper(A6, rng, texture=texture)
    return drawn(strokes, weave(sheet, A6) if under else sheet, A6, rng)


def shaded(sheet: Painted, tone: float) -> Painted:
    """The left half of the sheet rubbed with graphite."""
    light = sheet.linear.copy()
    light[:, : light.shape[1] // 2] *= 1.0 - tone
    return replace(sheet, linear=light)


def alike(sheet: Painted, strokes: list[Stroke]) -> float:
    return sides_alike([Found(s.points, False, s.width_mm) for s in strokes], sheet.linear, PX_PER_MM)


@pytest.mark.parametrize("shade", ["black", "hard pencil"])
@pytest.mark.parametrize(
    "under", [lambda s: s, lambda s: hand_shadow(s, 3.0), reflections], ids=["plain", "shadow", "reflections"]
)
def test_drawings_have_paper_on_both_sides(shade: str, under: Callable[[Painted], Painted]) -> None:
    strokes = [replace(each, shade=shade) for each in random_strokes(np.random.default_rng(7), A6, count=9)]
    assert alike(under(painted(strokes, 7, texture=0.05)), strokes) > LIKE_PAPER + 0.05


def test_acetate_over_weave() -> None:
    strokes = random_strokes(np.random.default_rng(3), A6, count=6)
    assert alike(painted(strokes, 3, under=True), strokes) > LIKE_PAPER + 0.05


def test_a_contour_with_shading_on_one_side_is_a_line() -> None:
    outline = [Stroke(np.array([[74.0, 10.0], [74.0, 95.0]]), 0.6, "pencil")]
    assert alike(shaded(painted(outline, 0), 0.15), outline) > LIKE_PAPER


def test_the_edge_of_a_light_form_is_none() -> None:
    along = [Stroke(np.stack([np.full(200, 74.0), np.linspace(10, 95, 200)], axis=1), 0.6)]
    assert alike(shaded(painted([], 0), 0.5), along) < 0.2


def test_no_lines_have_no_sides() -> None:
    blank: Picture = paper(A6, np.random.default_rng(0))
    assert sides_alike([], blank, PX_PER_MM) == 1.0


@pytest.mark.parametrize("width_mm", [150.0, 240.0, 400.0])
def test_a_blurred_photograph_is_refused(width_mm: float) -> None:
    """scikit-image's clock, moved while it was taken: its bare grey passes for paper."""
    grey = skimage.data.clock()
    height, width = grey.shape
    pixels = np.asarray(Image.fromarray(grey).resize((4 * width, 4 * height), Image.Resampling.LANCZOS))
    photo = Photo(np.ascontiguousarray(np.stack([pixels] * 3, axis=-1)), srgb_curve())
    with pytest.raises(DrawingError, match="edges of something light"):
        scan_flatbed(photo, Size(width_mm, width_mm * height / width))


def test_a_drawing_half_shaded_is_still_read() -> None:
    strokes = random_strokes(np.random.default_rng(1), A6, count=6)
    assert len(scan_flatbed(square_photo(shaded(painted(strokes, 1), 0.2)), A6).drawing.lines) >= 4
