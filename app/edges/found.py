"""Which stretches of edges a check found too hard or too soft, kept with it in numbers and words."""

import json
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from core.edge.brief import EdgeBrief
from core.errors import PainterError

if TYPE_CHECKING:
    from core.check import CheckResult

PART = "edge_stretches"
"""Its name in the stored text of a check."""
BRIEF, SAYS = "edge_brief", "edge_says"
RIGHT = "right"


@dataclass(frozen=True, eq=False)
class FoundStretch:
    """A stretch that is not right. ``points_mm`` ``(n, 2)``: along it, on the canvas. ``canvas_mm`` None: lost, no edge
    can be seen. ``verdict`` and ``planned``: in words; ``say``: its sentence."""

    number: int
    x_mm: float
    y_mm: float
    length_mm: float
    reference_mm: float
    canvas_mm: float | None
    uncertainty_mm: float
    planned: str
    verdict: str
    say: str
    points_mm: NDArray[np.float64]


def keep_edges(result: "CheckResult") -> dict[str, Any]:
    """What is wrong with the edges in a check, as :func:`read_stretches` reads it back, and the brief of the plan that
    they were held against, and what is said of all of them: parts of the stored text by their names."""
    from core.mend import edge_words

    if result.edges is None:
        return {}
    landmarks, size, brief = result.drift.landmarks, result.size, result.request.edge_brief
    stretches = [
        {
            "number": number,
            "x_mm": round(each.canvas_x_mm, 1),
            "y_mm": round(each.canvas_y_mm, 1),
            "length_mm": round(each.length_mm, 1),
            "reference_mm": round(each.reference_mm, 2),
            "canvas_mm": None if each.lost else round(each.canvas_mm, 2),
            "uncertainty_mm": round(each.uncertainty_mm, 2),
            "planned": str(each.planned),
            "verdict": str(each.verdict),
            "say": edge_words(each, landmarks, size),
            "points_mm": np.round(each.path_mm, 1).tolist(),
        }
        for number, each in enumerate(result.edges.comparison.faults, start=1)
    ]
    found = result.edges.comparison
    says = [each for each in (found.whole, *found.notes) if each]
    return {PART: stretches, BRIEF: None if brief is None else brief.to_json(), SAYS: says}


def read_stretches(text: str) -> tuple[FoundStretch, ...] | None:
    """The stretches of a stored check, in its order; None when the check is older than the question, or they cannot be
    read."""
    try:
        found = [_stretch(each) for each in json.loads(text)[PART]]
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
    return tuple(each for each in found if each.verdict != RIGHT)


def read_brief(text: str) -> EdgeBrief | None:
    """What the canvas was held against in a stored check; None when that is not kept, or cannot be read."""
    try:
        return EdgeBrief.from_json(json.loads(text)[BRIEF])
    except (PainterError, KeyError, TypeError, ValueError):
        return None


def read_says(text: str) -> tuple[str, ...]:
    """What was said of all edges together in a stored check, in sentences."""
    try:
        return tuple(map(str, json.loads(text)[SAYS]))
    except (KeyError, TypeError, ValueError):
        return ()


def _stretch(data: dict[str, Any]) -> FoundStretch:
    canvas, points = data["canvas_mm"], np.asarray(data["points_mm"], dtype=np.float64).reshape(-1, 2)
    if len(points) < 2 or not np.isfinite(points).all():
        raise ValueError("a stretch is a line")
    return FoundStretch(
        number=int(data["number"]),
        x_mm=_known(data["x_mm"]),
        y_mm=_known(data["y_mm"]),
        length_mm=_known(data["length_mm"]),
        reference_mm=_known(data["reference_mm"]),
        canvas_mm=None if canvas is None or math.isinf(canvas) else _known(canvas),
        uncertainty_mm=_known(data["uncertainty_mm"]),
        planned=str(data["planned"]),
        verdict=str(data["verdict"]),
        say=str(data["say"]),
        points_mm=points,
    )


def _known(number: Any) -> float:
    if not math.isfinite(number):
        raise ValueError("not known")
    return float(number)
