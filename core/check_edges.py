"""The edge question of one check: where the canvas's edges are too hard or too soft for the reference, or for the plan.

The edges of the reference are the slow half; they change only with the reference and may be kept by the caller.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.locate import CanvasFix
from core.drawing.drift import Drift
from core.edge.brief import EdgeBrief
from core.edge.compare import EdgeComparison, ReferenceEdges, compare_edges, reference_edges
from core.edge.kinds import EdgeKind
from core.edge.lines import EdgeLines
from core.edge.photo_blur import PhotoBlur, photo_blur
from core.edge.plan import plan_edges
from core.edge.same_place import WIDEST_MM
from core.edge.seen import plan_as_seen
from core.edge.width import Edges
from core.photo import Photo
from core.size import Size
from core.tone import value_of_linear
from core.words import as_share

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]

LOST_MM = WIDEST_MM
"""An edge of which no step is left is written down as this wide: it is at least as soft as can be told."""
_WORTH_SAYING_MM = 0.1


@dataclass(frozen=True, eq=False)
class CheckedEdges:
    """``comparison`` with ``reference``, whose edges are those that a plan has its kinds for; ``blur`` of the photo."""

    comparison: EdgeComparison
    reference: ReferenceEdges
    blur: PhotoBlur
    size: Size

    @property
    def certainty(self) -> str:
        """How sure it is, in a sentence."""
        told = self.comparison
        known = np.isfinite(told.canvas_mm)
        if not told.told_share > 0:
            return "Edges: none could be judged."
        if not known.any():
            return f"Edges: {as_share(told.told_share)} of their length could be judged; no step is left of any."
        doubt = float(np.median(told.uncertainty_mm[known] / told.canvas_mm[known]))
        taken = (
            f"; the photo’s own blur of {self.blur.largest_mm:.1f} mm is taken out"
            if self.blur.known and self.blur.largest_mm >= _WORTH_SAYING_MM
            else ""
        )
        good = f"widths mostly good to ± {as_share(doubt)}" if doubt < 1 else "their widths can hardly be told"
        return f"Edges: {as_share(told.told_share)} of their length could be judged, {good}{taken}."

    def maps(self) -> dict[str, Map]:
        """Sigma in mm on the 1 mm grid, each ``(height_mm, width_mm)`` float32, NaN where there is no edge or it cannot
        be told: ``edge_reference_mm`` where the reference has its edges, ``edge_canvas_mm`` where the painting has
        them, ``LOST_MM`` where of an edge no step is left."""
        told, edges = self.comparison, self.reference.edges
        return {
            "edge_reference_mm": _on_millimetres(edges.x_mm, edges.y_mm, edges.sigma_mm, self.size),
            "edge_canvas_mm": _on_millimetres(
                told.canvas_x_mm, told.canvas_y_mm, np.minimum(told.canvas_mm, LOST_MM), self.size
            ),
        }


def edges_of_check(
    reference: Flat,
    canvas: Flat,
    *,
    drift: Drift,
    withheld: Mask,
    photo: Photo,
    fix: CanvasFix,
    prepared: ReferenceEdges | None = None,
    brief: EdgeBrief | None = None,
) -> tuple[CheckedEdges, tuple[str, ...]]:
    """The answer and sentences about it.

    ``reference``: where it belongs, not moved; ``canvas``: ``photo`` laid flat by ``fix``, its light taken out; on the
    same pixels. ``prepared``: the reference's edges where the caller has them (:func:`prepared_edges`). ``brief``: of
    the plan that the canvas is held against; None: the reference itself.
    """
    ready = prepared_edges(reference) if prepared is None else prepared
    asked = EdgeBrief(canvas.size) if brief is None else brief
    blur = photo_blur(photo, fix.corners_px, fix.k1, canvas)
    comparison = compare_edges(
        ready,
        value_of_linear(canvas.linear),
        px_per_mm=canvas.px_per_mm,
        bounds=asked.kind_bounds,
        move=lambda places: places + drift_at(drift, places),
        withheld=withheld,
        planned=_planned(reference, ready, asked),
        blur=blur,
        foci_mm=[(focus.x_mm, focus.y_mm) for focus in asked.foci],
    )
    return CheckedEdges(comparison, ready, blur, canvas.size), comparison.notes


def _planned(reference: Flat, ready: ReferenceEdges, brief: EdgeBrief) -> list[EdgeKind] | None:
    """The planned kind of every edge; None where no plan departs from the reference."""
    if not brief.foci and not brief.brushed:
        return None
    if brief.foci and brief.eye is not None:
        plan = plan_as_seen(ready.edges, reference.linear, brief, px_per_mm=reference.px_per_mm, lines=ready.lines)
    else:
        plan = plan_edges(ready.edges, brief, lines=ready.lines)
    return [plan.kind_of(point) for point in range(len(plan))]


def prepared_edges(reference: Flat, *, edges: Edges | None = None, lines: EdgeLines | None = None) -> ReferenceEdges:
    """The reference's edges, for any number of checks at this resolution; ``edges``, ``lines``: those of a plan."""
    return reference_edges(value_of_linear(reference.linear), reference.px_per_mm, edges=edges, lines=lines)


def drift_at(drift: Drift, places_mm: Floats) -> Floats:
    """Drift ``(n, 2)`` mm at places ``(n, 2)`` mm, between those that were measured."""
    rows, columns = drift.filled_dx_mm.shape
    across = np.asarray(places_mm[:, 0] * columns / drift.size.width_mm - 0.5, dtype=np.float32)[None]
    down = np.asarray(places_mm[:, 1] * rows / drift.size.height_mm - 0.5, dtype=np.float32)[None]
    found = [np.zeros(len(places_mm))] * 2
    if len(places_mm):
        found = [_read(field, across, down) for field in (drift.filled_dx_mm, drift.filled_dy_mm)]
    return np.stack(found, axis=1)


def edges_as_json(checked: CheckedEdges) -> list[dict[str, Any]]:
    """Every stretch: its place on the reference, sigma in mm of the reference and the canvas, and the planned kind.
    An edge
    of which no step is left counts as ``LOST_MM``."""
    return [
        {
            "x_mm": round(each.x_mm, 1),
            "y_mm": round(each.y_mm, 1),
            "reference_mm": round(each.reference_mm, 2),
            "canvas_mm": round(min(each.canvas_mm, LOST_MM), 2),
            "planned": str(each.planned),
        }
        for each in checked.comparison.stretches
    ]


def _read(field: Map, across: Map, down: Map) -> Floats:
    parts = [
        cv2.remap(field, across[:, part], down[:, part], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for first in range(0, across.shape[1], 30_000)  # remap takes no more than 32,767
        for part in [slice(first, first + 30_000)]
    ]
    return np.asarray(np.concatenate(parts, axis=1)[0], dtype=np.float64)


def _on_millimetres(x_mm: Floats, y_mm: Floats, sigma_mm: Floats, size: Size) -> Map:
    """The mean of the points in each cell."""
    wide, high = round(size.width_mm), round(size.height_mm)
    column, row = np.floor(x_mm * wide / size.width_mm), np.floor(y_mm * high / size.height_mm)
    there = (column >= 0) & (row >= 0) & (column < wide) & (row < high) & ~np.isnan(sigma_mm)
    cell = (row[there] * wide + column[there]).astype(np.intp)
    total = np.bincount(cell, weights=sigma_mm[there], minlength=wide * high)
    count = np.bincount(cell, minlength=wide * high)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(count > 0, total / count, np.nan)
    return mean.reshape(high, wide).astype(np.float32)
