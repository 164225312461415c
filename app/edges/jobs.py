"""What is found of the edges of a reference, and the page of their plan. Pure functions, for a worker thread."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.prints import Source, read_photo
from app.work import Progress

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from core.edge.brief import EdgeBrief, EyeSettings, FocalPoint
    from core.edge.plan import EdgePlan
    from core.edges import MeasuredReference
    from core.photo import Photo


def find_edges(source: Source, photo: "Photo | None", progress: Progress) -> "MeasuredReference":
    """The edges of the reference; ``photo``: when it is at hand."""
    progress(0.0, "Measuring the edges")
    from core.edges import measure_reference

    held = photo or read_photo(source.file)

    def tell(share: float, _doing: str) -> None:
        progress(0.1 + 0.9 * share, "Measuring the edges")

    return measure_reference(held, source.size, crop=source.corners, progress=tell)


def find_seen(
    measured: "MeasuredReference", foci: "tuple[FocalPoint, ...]", eye: "EyeSettings", progress: Progress
) -> "NDArray[np.float64]":
    """How wide each edge is as the eye sees it."""
    from core.edges import sigmas_as_seen

    return sigmas_as_seen(
        measured, foci, eye, progress=lambda share, _doing: progress(share, "Measuring what the eye sees")
    )


def find_plan(
    measured: "MeasuredReference", brief: "EdgeBrief", seen_mm: "NDArray[np.float64] | None", progress: Progress
) -> "EdgePlan":
    """The plan; ``seen_mm`` is needed when the brief has an eye and a focal point."""
    from core.edges import plan_reference

    progress(say="Planning the edges")
    return plan_reference(measured, brief, seen_mm=seen_mm)


@dataclass(frozen=True, eq=False)
class PageOrder:
    """``paper``: its name."""

    measured: "MeasuredReference"
    plan: "EdgePlan"
    paper: str
    title: str


def write_page(order: PageOrder, path: Path, progress: Progress) -> str:
    """The page of the plan. Raises PainterError with a sentence."""
    from core.edge_page import EdgePage, write_edge_page
    from core.size import PAPERS

    progress(0.0, "Making the picture")
    picture = order.measured.picture
    progress(0.4, "Printing the plan")
    write_edge_page(path, EdgePage(picture, order.plan, PAPERS[order.paper], order.title))
    return "The edge plan, one page."
