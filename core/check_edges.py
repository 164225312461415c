"""The edge question of one check: where the canvas's edges are too hard or too soft for the reference, or for the plan.

The edges of the reference are the slow half; they change only with the reference and may be kept by the caller.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.locate import CanvasFix
from core.drawing.drift import Drift
from core.edge.compare import EdgeComparison, ReferenceEdges, compare_edges, reference_edges
from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.lines import EdgeLines
from core.edge.photo_blur import PhotoBlur, photo_blur
from core.edge.width import Edges
from core.photo import Photo
from core.size import Size
from core.tone import value_of_linear
from core.words import as_share

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]

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
        if not known.any():
            return "Edges: none could be judged."
        doubt = float(np.median(told.uncertainty_mm[known] / told.canvas_mm[known]))
        taken = (
            f"; the photo’s own blur of {self.blur.largest_mm:.1f} mm is taken out"
            if self.blur.known and self.blur.largest_mm >= _WORTH_SAYING_MM
            else ""
        )
        return (
            f"Edges: {as_share(told.told_share)} of their length could be judged, widths mostly good to "
            f"± {as_share(doubt)}{taken}."
        )

    def maps(self) -> dict[str, Map]:
        """Sigma in mm on the 1 mm grid, each ``(height_mm, width_mm)`` float32, NaN where there is no edge or it cannot
        be told: ``edge_reference_mm`` where the reference has its edges, ``edge_canvas_mm`` where the painting has
        them, infinite where of an edge no step is left."""
        told, edges = self.comparison, self.reference.edges
        return {
            "edge_reference_mm": _on_millimetres(edges.x_mm, edges.y_mm, edges.sigma_mm, self.size),
            "edge_canvas_mm": _on_millimetres(told.canvas_x_mm, told.canvas_y_mm, told.canvas_mm, self.size),
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
    planned: Sequence[EdgeKind] | None = None,
    bounds: EdgeBounds | None = None,
    foci_mm: Sequence[tuple[float, float]] = (),
) -> tuple[CheckedEdges, tuple[str, ...]]:
    """The answer and sentences about it.

    ``reference``: where it belongs, not moved; ``canvas``: ``photo`` laid flat by ``fix``, its light taken out; on the
    same pixels. ``prepared``: the reference's edges where the caller has them (:func:`prepared_edges`); ``planned``:
    one kind for each of ``prepared.edges``. ``bounds``: None, the usual ones for this size.
    """
    ready = prepared_edges(reference) if prepared is None else prepared
    blur = photo_blur(photo, fix.corners_px, fix.k1, canvas)
    comparison = compare_edges(
        ready,
        value_of_linear(canvas.linear),
        px_per_mm=canvas.px_per_mm,
        bounds=EdgeBounds.for_size(canvas.size) if bounds is None else bounds,
        move=lambda places: places + drift_at(drift, places),
        withheld=withheld,
        planned=planned,
        blur=blur,
        foci_mm=foci_mm,
    )
    return CheckedEdges(comparison, ready, blur, canvas.size), comparison.notes


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
    ``canvas_mm`` is None where no step is left."""
    return [
        {
            "x_mm": round(each.x_mm, 1),
            "y_mm": round(each.y_mm, 1),
            "reference_mm": round(each.reference_mm, 2),
            "canvas_mm": None if each.lost else round(each.canvas_mm, 2),
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
