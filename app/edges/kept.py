"""The brief of the edge plan as it is kept with the painting and undone with it, and how it is changed."""

from dataclasses import replace

from core.edge.brief import Brushed, EdgeBrief, EyeSettings, FocalPoint
from core.edge.kinds import EdgeBounds
from core.errors import PainterError
from core.painting import Painting

EDGE = "edge"
"""The plan it is kept in."""
MOST_FOCI = 9


def kept_brief(painting: Painting) -> EdgeBrief:
    """The brief that was kept; one that cannot be read, or is not of this canvas, is as if there were none."""
    size, data = painting.size, painting.plan(EDGE)
    if data is not None:
        try:
            return replace(EdgeBrief.from_json(data), size=size)
        except (PainterError, TypeError, ValueError):
            pass
    return EdgeBrief(size)


def keep_brief(painting: Painting, brief: EdgeBrief, label: str) -> None:
    """As one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    painting.set_plan(EDGE, brief.to_json(), label=label)


def with_focus(brief: EdgeBrief, index: int, focus: FocalPoint | None) -> EdgeBrief:
    """One focal point changed, or taken away (None)."""
    foci = [*brief.foci[:index], *([] if focus is None else [focus]), *brief.foci[index + 1 :]]
    return replace(brief, foci=tuple(foci))


def with_stroke(brief: EdgeBrief, stroke: Brushed) -> EdgeBrief:
    return replace(brief, brushed=(*brief.brushed, stroke))


def with_bounds(brief: EdgeBrief, hard_mm: float, firm_mm: float, soft_mm: float) -> EdgeBrief:
    """Raises PainterError with a sentence when they do not rise."""
    return replace(brief, bounds=EdgeBounds(hard_mm, firm_mm, soft_mm))


def with_eye(brief: EdgeBrief, eye: EyeSettings | None) -> EdgeBrief:
    return replace(brief, eye=eye)
