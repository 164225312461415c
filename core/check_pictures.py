"""Pictures of a check: the drawing over the canvas with its drift, and the value difference with its areas numbered."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.beside import beside
from core.check import CheckResult
from core.check_edges import CheckedEdges
from core.check_warmth import CheckedWarmth
from core.drawing.raster import lines_over
from core.edge.faults_picture import LEGEND as EDGE_LEGEND
from core.edge.faults_picture import faults_picture
from core.light_sheet import light_sheet
from core.mend import TRUSTED, WORTH_MENDING_MM, largest_places
from core.picture_words import DARK, LIGHT, numbered
from core.temperature.picture import difference_legend, warmth_picture
from core.tone import display_of_linear, grey_of_linear
from core.value.contour_lines import contour_lines
from core.value.contour_picture import with_contours
from core.value.picture import difference_picture, legend
from core.value.steps import steps_picture, value_steps

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

ARROWS_TIMES = 3.0
"""Drift arrows are drawn this many times their true length, or a millimetre could not be seen."""
_BESIDE = 0.018
"""Of the canvas's diagonal."""
_TITLES = {
    "drawing": "Drawing over the canvas, drift × 3",
    "value": "Too dark or too light, numbered as the list",
    "edge": "Too hard or too soft, numbered as the list",
    "temperature": "Too warm or too cool, numbered as the list",
}


@dataclass(frozen=True)
class SheetPicture:
    """A titled picture for the printed sheet, with its legend (label, colour) from left to right."""

    title: str
    pixels: Pixels
    legend: tuple[tuple[str, Colour], ...] = ()


def check_pictures(result: CheckResult) -> dict[str, Pixels]:
    """One picture per question, sRGB ``(H, W, 3)`` uint8, by the question's name; the canvas with its light taken out,
    and that light; and the grey pair in value steps, ``(H, W)``."""
    with beside(lambda: {"grey": grey_pair(result), "light": light_picture(result)}) as others:
        edges = {} if result.edges is None else {"edge": edge_picture(result, result.edges)}
        warmth = {} if result.warmth is None else {"temperature": warmth_picture_of(result, result.warmth)}
        canvas = {
            "canvas": display_of_linear(result.canvas_lit),
            "drawing": drawing_picture(result),
            "value": value_picture(result),
        }
    return {**canvas, **others(), **edges, **warmth}


def pair_pictures(result: CheckResult, pictures: Mapping[str, Pixels]) -> tuple[SheetPicture, ...]:
    """Reference and canvas for the printed sheet, in colour and in grey; ``pictures`` as :func:`check_pictures` made
    them."""
    reference = "Reference, keyed" if result.request.keyed else "Reference"
    return (
        SheetPicture(reference, display_of_linear(result.reference.linear)),
        SheetPicture("Canvas, laid flat, light taken out", pictures["canvas"]),
        SheetPicture("Reference in grey", grey_of_linear(result.reference.linear)),
        SheetPicture("Canvas in grey", grey_of_linear(result.canvas_lit)),
    )


def question_pictures(result: CheckResult, pictures: Mapping[str, Pixels]) -> tuple[SheetPicture, ...]:
    """A picture for each question that was answered, for the printed sheet; ``pictures`` as above."""
    legends = {
        "value": _swatches(legend()),
        "edge": EDGE_LEGEND,
        "temperature": _swatches(difference_legend()),
    }
    return tuple(
        SheetPicture(title, pictures[name], legends.get(name, ()))
        for name, title in _TITLES.items()
        if name in pictures
    )


def _swatches(entries: Iterable[tuple[str, Colour, tuple[float, float]]]) -> tuple[tuple[str, Colour], ...]:
    return tuple((label, colour) for label, colour, _ in entries)


def drawing_picture(result: CheckResult) -> Pixels:
    """The canvas laid flat under the acetate, an arrow and a number at every landmark that could be measured."""
    picture = display_of_linear(result.canvas_lit)
    if result.request.drawing is not None:
        picture = lines_over(
            picture, result.request.drawing, result.canvas.px_per_mm, colour=LIGHT, strength=0.8, line_weight_mm=0.5
        )
    arrows = [(m.x_mm, m.y_mm, m.dx_mm, m.dy_mm) for m in result.drift.landmarks if m.confidence >= TRUSTED]
    if not result.drift.landmarks:
        apart = min(result.size.width_mm, result.size.height_mm) / 10
        arrows = largest_places(result.drift, apart_mm=apart, least_mm=WORTH_MENDING_MM / 2)
    for arrow in arrows:
        _arrow(picture, arrow, result.canvas.px_per_mm)
    return picture


def value_picture(result: CheckResult) -> Pixels:
    """The value difference with its contour lines, each passage outlined and numbered as in the list to mend."""
    picture = difference_picture(result.values.difference)
    picture = with_contours(picture, contour_lines(result.values), px_per_mm=result.canvas.px_per_mm)
    outlines = [outline for passage in result.values.passages for outline in passage.outlines_mm]
    return _outlined(picture, result, "value", outlines)


def warmth_picture_of(result: CheckResult, warmth: CheckedWarmth) -> Pixels:
    """Where the canvas is too warm or too cool, its passages outlined and numbered as in the list to mend."""
    compared = warmth.comparison
    picture = warmth_picture(compared.difference, uncertainty=compared.uncertainty)
    return _outlined(picture, result, "temperature", [passage.outline_mm for passage in compared.passages])


def edge_picture(result: CheckResult, edges: CheckedEdges) -> Pixels:
    """The canvas in faded greys with its edges: what is too hard or too soft heavy, numbered as in the list to mend."""
    picture = faults_picture(display_of_linear(result.canvas_lit), edges.comparison, result.canvas.px_per_mm)
    beside = _BESIDE * math.hypot(result.size.width_mm, result.size.height_mm)
    return _numbered(picture, result, "edge", beside_mm=beside)


def _outlined(
    picture: Pixels, result: CheckResult, question: str, outlines_mm: Sequence[NDArray[np.float64]]
) -> Pixels:
    """Passages outlined, each with its number in the list to mend."""
    scale = result.canvas.px_per_mm
    lines = [np.rint(outline * scale * 16).astype(np.int32).reshape(-1, 1, 2) for outline in outlines_mm]
    cv2.polylines(picture, lines, True, DARK, max(1, round(0.4 * scale)), cv2.LINE_AA, 4)
    return _numbered(picture, result, question)


def _numbered(picture: Pixels, result: CheckResult, question: str, *, beside_mm: float = 0.0) -> Pixels:
    """The numbers in the list to mend on their places, or so far above them; below where there is no room above."""
    scale = result.canvas.px_per_mm
    labels = [
        (each.x_mm * scale, (each.y_mm + (-beside_mm if each.y_mm > 2 * beside_mm else beside_mm)) * scale, str(number))
        for number, each in enumerate(result.mend, start=1)
        if each.question == question and each.passage is not None
    ]
    return numbered(picture, labels, (0.045 if beside_mm == 0 else 0.035) * min(picture.shape[:2]))


def grey_pair(result: CheckResult) -> Pixels:
    """Reference and canvas side by side in value steps, ``(H, W)`` uint8."""
    pair = [
        steps_picture(value_steps(value, result.request.steps, px_per_mm=result.canvas.px_per_mm))
        for value in (result.value_reference, np.nan_to_num(result.value_canvas))
    ]
    gap = np.full((pair[0].shape[0], max(2, round(6 * result.canvas.px_per_mm))), 128, np.uint8)
    return np.hstack([pair[0], gap, pair[1]])


def light_picture(result: CheckResult) -> Pixels:
    """The light that was taken out: how it falls over the canvas, its colour, and how the photo is exposed."""
    name, how = result.request.photo.source.name, next(each for each in result.certainty if each.startswith("Light:"))
    return light_sheet(result.light, result.size, photo=name, certainty=how).pixels


def as_png(pixels: Pixels) -> bytes:
    """PNG bytes of an sRGB picture ``(H, W, 3)``, or of a grey one ``(H, W)``: run lengths, which are half as slow on
    brushwork as Pillow's least compression, and smaller."""
    quick = [cv2.IMWRITE_PNG_STRATEGY, cv2.IMWRITE_PNG_STRATEGY_RLE, cv2.IMWRITE_PNG_COMPRESSION, 1]
    blue_first = pixels if pixels.ndim == 2 else pixels[..., ::-1]
    _, data = cv2.imencode(".png", np.ascontiguousarray(blue_first), quick)
    return data.tobytes()


def _arrow(picture: Pixels, arrow: tuple[float, float, float, float], px_per_mm: float) -> None:
    x, y, dx, dy = (value * px_per_mm for value in arrow)
    start = (round(x * 16), round(y * 16))
    weight = max(1, round(0.5 * px_per_mm))
    if math.hypot(arrow[2], arrow[3]) < WORTH_MENDING_MM / 2:
        for colour, radius in ((DARK, 1.5), (LIGHT, 0.9)):
            cv2.circle(picture, start, round(radius * px_per_mm * 16), colour, -1, cv2.LINE_AA, 4)
        return
    end = (round((x + ARROWS_TIMES * dx) * 16), round((y + ARROWS_TIMES * dy) * 16))
    for colour, wide in ((DARK, weight + max(2, weight)), (LIGHT, weight)):
        cv2.arrowedLine(picture, start, end, colour, wide, cv2.LINE_AA, 4, 0.28)
        cv2.circle(picture, start, round((1.0 + 0.1 * wide) * px_per_mm * 16), colour, wide, cv2.LINE_AA, 4)
