"""Where the painting's edges are too hard or too soft: the canvas against the reference, or the plan, edge by edge.

The step is measured across every edge of the reference where the painting has it (:mod:`core.edge.same_place`), agreed
along the contour, and judged in stretches (:mod:`core.edge.stretches`, where the tolerances stand). With a plan that
asks for another kind than the reference has, an edge is at fault when it surely lies, its own ± taken into account,
outside the bounds of that kind. Else it must also be off the reference by more than the tolerance, about what a brush
makes of an edge anyway, or by twice that within its kind.

On 10 paintings of photographs and forms, displaced by up to 3 mm, with 40 places softened or hardened by 1.8 to 3 mm,
kept apart from those it was settled on (``python -m tests.measure.edge_compare 5 10``): 19 of 20 softened ones found,
17 of 20 hardened; 2 false stretches in all; 85 % of the length of edges could be told. Where nothing was changed sigma
is right to 9.5 % (median; within 30 % for 94 %) under streaks and weave, to 18 % (69 %) where painted stroke by
stroke, which changes edges itself. In the softened places, often of several forms close together, it is right to 22 %
(64 %).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from core.edge.kinds import USUAL_DIAGONAL_MM, EdgeBounds, EdgeKind
from core.edge.lines import EdgeLines, link_edges
from core.edge.photo_blur import PhotoBlur
from core.edge.same_place import steps_there
from core.edge.scale import Floats, Map
from core.edge.stretches import Stretch, Verdict, stretches_of
from core.edge.width import Edges, measure_edges
from core.words import as_share

Mask = NDArray[np.bool_]
Move = Callable[[Floats], Floats]

_EVERY = 2
"""Of the points along a contour, which lie closer than a brush tells."""
_AGREE = 3
_FEWEST_AGREE = 3
_RIM_MM = 2.5
_NOTHING_LEFT, _FEWEST_FAULTS = 0.9, 8
"""Share of the length of edges of which no step is left, from which they are told as a whole and not one by one."""
_MOST = 0.4
"""Share of it that is off one way, from which that is said of the whole."""
_ALONE = 1.4
"""Where the reference's own edge is measured wider or narrower by this at its place, no step stands alone there."""


@dataclass(frozen=True, eq=False)
class ReferenceEdges:
    """The edges of the reference, made once for any number of checks. ``judged`` ``(n,)`` bool: of the points that are
    compared, those whose step stands alone enough."""

    edges: Edges
    lines: EdgeLines
    order: NDArray[np.intp]
    line: NDArray[np.intp]
    judged: Mask


def reference_edges(
    value: Map, px_per_mm: float, *, edges: Edges | None = None, lines: EdgeLines | None = None
) -> ReferenceEdges:
    """From ``value`` ``(H, W)`` Munsell value of the reference; ``edges``, ``lines``: where they are at hand, such as
    those of a plan."""
    found = measure_edges(value, px_per_mm) if edges is None else edges
    joined = link_edges(found) if lines is None else lines
    parts = [part.index[::_EVERY] for part in joined.lines]
    order = np.concatenate(parts) if parts else np.zeros(0, np.intp)
    line = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    there = found.only(order)
    own = steps_there(value, px_per_mm, there, there.contrast, there.sigma_mm)
    agreed = _agreed(own.sigma_mm, line)
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(np.log(agreed / there.sigma_mm))
    floor = np.abs(agreed - there.sigma_mm) < 0.15
    return ReferenceEdges(found, joined, order, line, (off < np.log(_ALONE)) | floor)


@dataclass(frozen=True, eq=False)
class EdgeComparison:
    """``places``: the reference's edge points compared, where the reference has them, ``(n,)``; ``canvas_x_mm``,
    ``canvas_y_mm``: where the painting has them; ``canvas_mm``: sigma there, infinite where no step is left, NaN where
    it cannot be told; ``uncertainty_mm``, nine in ten. ``planned``: numbers into ``EdgeKind``, -1 without a plan.
    ``stretches``: all, of whatever verdict, of 20 mm at most. ``faults``: what is too hard or too soft, each whole,
    however long, the heaviest first; none where hardly an edge is painted yet, which a note says. ``whole``: a
    sentence where most edges are too hard, or too soft; else empty. ``told_share``: of the length of edges, 0-1."""

    places: Edges
    canvas_x_mm: Floats
    canvas_y_mm: Floats
    canvas_mm: Floats
    uncertainty_mm: Floats
    planned: NDArray[np.intp]
    stretches: tuple[Stretch, ...]
    faults: tuple[Stretch, ...]
    bounds: EdgeBounds
    told_share: float
    whole: str = ""
    notes: tuple[str, ...] = field(default=())


def compare_edges(
    reference: ReferenceEdges,
    canvas_value: Map,
    *,
    px_per_mm: float,
    bounds: EdgeBounds,
    move: Move | None = None,
    withheld: Mask | None = None,
    planned: Sequence[EdgeKind] | None = None,
    blur: PhotoBlur | None = None,
    foci_mm: Sequence[tuple[float, float]] = (),
) -> EdgeComparison:
    """Compare the edges of ``canvas_value`` ``(H, W)`` Munsell value with the reference's, or with the plan.

    ``move``: places ``(n, 2)`` mm of the reference to where the painting has them; None: it has not strayed.
    ``withheld`` ``(H, W)`` bool: what cannot be judged. ``planned``: one kind for each of ``reference.edges``.
    ``blur``: of the photo. ``foci_mm``: focal points; faults near them weigh more. ValueError when the plan is not of
    these edges.
    """
    if planned is not None and len(planned) != len(reference.edges):
        raise ValueError(f"a plan of {len(planned)} kinds is not of these {len(reference.edges)} edges")
    places = reference.edges.only(reference.order)
    x, y = _moved(places, move)
    there = _Moved(x, y, places.nx, places.ny)
    steps = steps_there(canvas_value, px_per_mm, there, places.contrast, places.sigma_mm)
    told = reference.judged & ~_hidden(withheld, there, px_per_mm, canvas_value.shape)
    sigma = np.where(told, steps.sigma_mm, np.nan)
    sigma = _agreed(sigma, reference.line)
    doubt = _agreed(np.where(np.isfinite(sigma), steps.uncertainty_mm, np.nan), reference.line)
    doubt = np.where(np.isfinite(doubt), doubt, 0.5 * np.where(np.isfinite(sigma), sigma, 0.0))
    sigma, doubt = _without_photo(sigma, doubt, places, blur, bounds)
    kinds = list(EdgeKind)
    plan = np.full(len(places), -1, np.intp)
    if planned is not None:
        plan = np.array([kinds.index(kind) for kind in planned], np.intp)[reference.order]
    known = ~np.isnan(sigma)
    stretches, faults = stretches_of(
        places,
        reference.line,
        (x, y),
        (sigma, doubt),
        plan=plan,
        bounds=bounds,
        blur=blur,
        foci_mm=foci_mm,
        scale=float(np.hypot(*canvas_value.shape)) / px_per_mm / USUAL_DIAGONAL_MM,
    )
    bare = _hardly_painted(stretches, faults)
    return EdgeComparison(
        places=places,
        canvas_x_mm=x,
        canvas_y_mm=y,
        canvas_mm=sigma,
        uncertainty_mm=doubt,
        planned=plan,
        stretches=stretches,
        faults=() if bare else faults,
        bounds=bounds,
        told_share=float(known.mean()) if len(known) else 0.0,
        whole="" if bare else _most(stretches, faults),
        notes=(*bare, *(() if blur is None else blur.notes(bounds))),
    )


def _hardly_painted(stretches: Sequence[Stretch], faults: Sequence[Stretch]) -> tuple[str, ...]:
    """A sentence where hardly an edge that is wanted is on the canvas, as on a bare one or under a first wash."""
    wanted = sum(each.length_mm for each in stretches if each.planned is not EdgeKind.LOST)
    gone = sum(each.length_mm for each in stretches if each.lost and each.planned is not EdgeKind.LOST)
    if len(faults) < _FEWEST_FAULTS or not wanted or gone < _NOTHING_LEFT * wanted:
        return ()
    return (
        f"Hardly an edge of the reference is on the canvas: {as_share(gone / wanted)} of what could be judged shows no "
        "step. They are not listed one by one. Lay the forms in first; if they are, see whether the photo is of this "
        "painting.",
    )


def _most(stretches: Sequence[Stretch], faults: Sequence[Stretch]) -> str:
    """A sentence where most of the length of edges is off the same way, as in a painting that is blocked in."""
    judged = sum(each.length_mm for each in stretches)
    for verdict in (Verdict.SOFT, Verdict.HARD):
        off = sum(each.length_mm for each in stretches if each.verdict is verdict)
        if len(faults) >= _FEWEST_FAULTS and off >= _MOST * judged:
            for_plan = " for the plan" if any(each.by_plan for each in faults) else ""
            return (
                f"Most edges are {verdict}{for_plan}: {as_share(off / judged)} of their length that could be judged. "
                "Only the heaviest are listed."
            )
    return ""


@dataclass(frozen=True, eq=False)
class _Moved:
    x_mm: Floats
    y_mm: Floats
    nx: Floats
    ny: Floats


def _moved(places: Edges, move: Move | None) -> tuple[Floats, Floats]:
    here = np.stack([places.x_mm, places.y_mm], axis=1)
    there = here if move is None or not len(here) else np.asarray(move(here), dtype=np.float64)
    return there[:, 0], there[:, 1]


def _hidden(withheld: Mask | None, there: _Moved, px_per_mm: float, shape: tuple[int, ...]) -> Mask:
    """Which places lie under what is withheld, or at the picture's rim, which may show what stands behind."""
    column, row = (np.floor(each * px_per_mm).astype(np.intp) for each in (there.x_mm, there.y_mm))
    rim = round(_RIM_MM * px_per_mm)
    out = (column < rim) | (row < rim) | (column >= shape[1] - rim) | (row >= shape[0] - rim)
    if withheld is not None:
        out |= withheld[np.clip(row, 0, shape[0] - 1), np.clip(column, 0, shape[1] - 1)]
    return np.asarray(out)


def _without_photo(
    sigma: Floats, doubt: Floats, places: Edges, blur: PhotoBlur | None, bounds: EdgeBounds
) -> tuple[Floats, Floats]:
    """The blur of the photo taken out, as far as it is known, and what it leaves in doubt."""
    if blur is None:
        return sigma, doubt
    # A thin form fades in a soft photo: that no step of it is left tells nothing of the paint.
    soft = blur.at(places.nx, places.ny)
    sigma = np.where(np.isinf(sigma) & (soft > np.maximum(places.sigma_mm, bounds.hard_mm)), np.nan, sigma)
    taken, least = blur.taken_out(sigma, places.nx, places.ny)
    with np.errstate(invalid="ignore"):
        grown = np.where(np.isfinite(sigma), doubt * np.minimum(sigma / np.maximum(taken, 1e-6), 4.0), doubt)
        more = np.where(np.isfinite(sigma), taken - least, 0.0)
    return taken, np.hypot(grown, more)


def _agreed(sigma: Floats, line: NDArray[np.intp]) -> Floats:
    """The median of each place and its neighbours along the contour; NaN where few can be told."""
    count = len(sigma)
    if not count:
        return sigma
    index = np.arange(count)[:, None] + np.arange(-_AGREE, _AGREE + 1)[None, :]
    inside = (index >= 0) & (index < count)
    index = np.clip(index, 0, count - 1)
    near = np.where(inside & (line[index] == line[:, None]), sigma[index], np.nan)
    known = (~np.isnan(near)).sum(axis=1)
    ordered = np.sort(near, axis=1)  # NaN last
    middle = ordered[np.arange(count), np.maximum(known - 1, 0) // 2]
    return np.where((known >= _FEWEST_AGREE) & ~np.isnan(sigma), middle, np.nan)
