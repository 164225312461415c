"""The edge question asked of the reference alone, before there is a canvas: its edges, and the plan for them."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.flat import Flat
from core.canvas.lay_flat import reference_flat
from core.check import working_px_per_mm
from core.edge.brief import EdgeBrief, EyeSettings, FocalPoint
from core.edge.finder import EdgeFinder
from core.edge.lines import EdgeLines, link_edges
from core.edge.plan import EdgePlan, plan_edges
from core.edge.seen import edges_as_seen, seen_sigmas
from core.edge.width import Edges, measure_edges
from core.photo import Photo
from core.size import Size
from core.tone import display_of_linear, value_of_linear

Floats = NDArray[np.float64]
Progress = Callable[[float, str], object]


@dataclass(frozen=True, eq=False)
class MeasuredReference:
    """``flat``: the reference over the canvas, as its edges are measured on it; ``finder``: the nearest of them.
    ``notes``: whole sentences on what had to be cropped."""

    flat: Flat
    edges: Edges
    lines: EdgeLines
    finder: EdgeFinder
    notes: tuple[str, ...] = field(default=())

    @property
    def picture(self) -> NDArray[np.uint8]:
        """``(H, W, 3)`` sRGB."""
        return display_of_linear(self.flat.linear)


def measure_reference(
    photo: Photo, size: Size, *, crop: ArrayLike | None = None, progress: Progress | None = None
) -> MeasuredReference:
    """The edges of a reference, at the resolution that a check works at. ``crop``: as in a check.

    ``progress(share 0-1, what is being done)`` may raise CancelledError.
    """
    tell = progress or (lambda share, doing: None)
    tell(0.0, "looking at the reference")
    fits = max(photo.width / size.width_mm, photo.height / size.height_mm)
    flat, notes = reference_flat(photo, size, working_px_per_mm(size, fits), crop=crop)
    tell(0.2, "measuring the edges")
    edges = measure_edges(value_of_linear(flat.linear), flat.px_per_mm)
    tell(0.9, "joining the edges")
    lines = link_edges(edges)
    found = MeasuredReference(flat, edges, lines, EdgeFinder(edges, lines), notes)
    tell(1.0, "done")
    return found


def sigmas_as_seen(
    measured: MeasuredReference, foci: tuple[FocalPoint, ...], eye: EyeSettings, *, progress: Progress | None = None
) -> Floats:
    """The sigma of every edge as the eye sees it that rests at the focal points: ``(n,)`` mm, infinite where it is lost
    to it. Raises PainterError without a focal point."""
    tell = progress or (lambda share, doing: None)
    tell(0.0, "looking as the eye does")
    flat = measured.flat
    seen = edges_as_seen(flat.linear, EdgeBrief(flat.size, foci, eye=eye), px_per_mm=flat.px_per_mm)
    tell(0.9, "looking as the eye does")
    return seen_sigmas(measured.edges, seen, measured.lines)


def plan_reference(measured: MeasuredReference, brief: EdgeBrief, *, seen_mm: Floats | None = None) -> EdgePlan:
    """The plan. ``seen_mm``: of :func:`sigmas_as_seen`, when it is at hand; else it is measured where it is needed."""
    if seen_mm is None and brief.eye is not None and brief.foci:
        seen_mm = sigmas_as_seen(measured, brief.foci, brief.eye)
    return plan_edges(measured.edges, brief, lines=measured.lines, seen_mm=seen_mm)
