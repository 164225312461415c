"""The files of the value question: pictures, shapes as a drawing, and what can be printed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.drawing.squaring import Squaring
from core.drawing.svg_write import write_drawing
from core.first_marks_print import FirstMarksPages, write_first_marks
from core.grey_pair import GreyPair, write_grey_pair
from core.plan_drawing import plan_drawing
from core.save import save_png
from core.size import PAPERS, Size
from core.tone import display_of_linear, grey_of_linear
from core.value.steps import one_step_picture, steps_picture
from core.value.underpainting import Earth, underpainting
from core.values import ValuesResult
from core.values_pictures import marks_ground, marks_picture, order_picture
from core.whole_file import made_folder

Tell = Callable[[float, str], object]


def write_values(
    result: ValuesResult,
    folder: Path,
    *,
    earth: Earth | None = None,
    paper: Size = PAPERS["A4"],
    fitted: bool = True,
    squaring: Squaring | None = None,
    tell: Tell | None = None,
) -> tuple[Path, ...]:
    """Write everything into ``folder``, made if missing, each file whole or not at all; give back the files.

    Pictures are PNG at the canvas's scale. ``earth``, ``paper``, ``fitted`` and ``squaring``: of the underpainting and
    of the grey pair. Raises PainterError with a sentence.
    """
    say = tell or (lambda share, doing: None)
    folder = made_folder(folder)
    written = []
    made = pictures(result, earth)
    for number, (name, picture) in enumerate(made.items()):
        say(0.7 * number / len(made), f"writing {name}.png")
        path = folder / f"{name}.png"
        save_png(path, picture(), px_per_mm=result.keyed.px_per_mm)
        written.append(path)
    say(0.8, "writing the shapes")
    shapes = folder / "shapes.svg"
    write_drawing(shapes, plan_drawing(result.steps, result.request.size))
    say(0.9, "printing the grey pair")
    pair = folder / "grey-pair.pdf"
    colour, grey = display_of_linear(result.reference.linear), grey_of_linear(result.keyed.linear)
    write_grey_pair(pair, GreyPair(colour, grey, result.request.size, paper, fitted, squaring))
    say(0.95, "printing the first marks")
    pages = folder / "first-marks.pdf"
    plan, boundaries = steps_picture(result.steps), result.steps.boundaries.tolist()
    write_first_marks(
        pages,
        FirstMarksPages(marks_ground(result), plan, result.request.size, result.marks, result.order, boundaries, paper),
    )
    say(1.0, "done")
    return (*written, shapes, pair, pages)


def pictures(result: ValuesResult, earth: Earth | None = None) -> dict[str, Callable[[], NDArray[Any]]]:
    """Each picture by its file's name, made when called: sRGB ``(H, W)`` or ``(H, W, 3)`` uint8."""
    steps = result.steps
    alone = {f"step-{k + 1}": _one(steps, k) for k in range(steps.count)}
    return {
        "grey": lambda: grey_of_linear(result.keyed.linear),
        "steps": lambda: steps_picture(steps),
        **alone,
        "first-marks": lambda: marks_picture(result),
        "order-of-work": lambda: order_picture(result),
        "underpainting": lambda: underpainting(result.value, earth),
    }


def _one(steps: Any, step: int) -> Callable[[], NDArray[np.uint8]]:
    return lambda: one_step_picture(steps, step)
