"""Find the canvas's outline in a photo, to offer it.

Long straight edges are looked for with several trial lenses; every four of them that could be a canvas are weighed by
how much edge their sides carry, whether they meet at their corners, their size and their shape; the best few choose
among parallel edges around them; the winner's sides are traced in the full photo. Light, shadow and the painted picture
take no part in placing the corners.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.certainty import Signs, certainty
from core.canvas.doubled import inner_of_doubled
from core.canvas.edge_picture import EdgePicture, Points, edge_picture, segments
from core.canvas.likeness import CHANCE, Reference, likeness, small_reference
from core.canvas.lines import straightened
from core.canvas.plumb_lines import StraightLines, corner_shifts
from core.canvas.quads import Quads, propose, shape_misfit, share_of_picture, size_merit, together
from core.canvas.sides import Settled, settle
from core.canvas.trace import Sampler, photo_sampler, picture_sampler
from core.canvas.tracing import traced
from core.errors import CanvasError
from core.photo import Photo
from core.size import Size

TRIAL_LENSES = (-0.075, -0.045, -0.015, 0.015, 0.045)
SIDES = ("top", "right", "bottom", "left")
NOT_FOUND = (
    "No canvas was found in this photo. Place its four corners by hand, or photograph it against a plainer ground."
)
_CANDIDATES = 3
_DIFFERENT = 0.06
"""Outlines whose corners are all within this share of the picture are tried once."""


@dataclass(frozen=True)
class Outline:
    """A canvas found in a photo.

    ``corners_px``: ``(4, 2)`` float64 photo px, TL TR BR BL, with ``uncertainty_px`` ``(4,)``, one standard deviation
    each way; ``stray_px`` ``(4,)`` is the part of it that is due to other edges that run beside the canvas's.
    ``confidence``: 0-1, how likely the corners are the canvas's to 3 mm. ``cropped``: sides that run out of the photo
    ("top", "right", "bottom", "left"); the corners there lie on the photo's border and are not the canvas's.
    ``edge_points_px``: four arrays ``(n, 2)`` on the sides' edges (top, right, bottom, left), for the lens.
    ``lines``: the straight lines and lens they give, None when a side is cropped. ``turned``: quarter turns clockwise
    that the canvas is seen turned by.
    """

    corners_px: Points
    confidence: float
    cropped: tuple[str, ...]
    edge_points_px: tuple[Points, Points, Points, Points]
    uncertainty_px: Points
    stray_px: Points
    k1: float
    lines: StraightLines | None = None
    turned: int = 0
    signs: Signs | None = field(default=None, repr=False)


@dataclass(frozen=True)
class _Candidate:
    """An outline in the edge picture. ``rank``: what it is chosen by."""

    corners: Points
    k1: float
    settled: Settled
    cropped: NDArray[np.bool_]
    misfit: float
    share: float
    likeness: float
    turned: int

    @property
    def rank(self) -> float:
        size = 1.2 * float(size_merit(np.array(self.share)))
        shape = -0.12 * float(np.log1p(self.misfit))
        return (
            self.settled.score + size + shape + 1.5 * max(self.likeness - CHANCE, 0.0) - 0.1 * float(self.cropped.sum())
        )


def find_outline(photo: Photo, *, size: Size | None = None, reference: Reference | None = None) -> Outline:
    """Find the canvas in a photo.

    ``size``: its size, when known: its shape is a strong hint. ``reference``: the picture being painted; it chooses
    between possible outlines and says which way up the canvas is seen, and never moves a corner.
    Raises CanvasError with a sentence when nothing in the photo can be the canvas.
    """
    edges = edge_picture(photo)
    aspect = None if size is None else size.aspect
    quads = _quads(edges, aspect)
    picture = None if reference is None else small_reference(reference)
    found = [] if quads is None else list(_candidates(edges, quads, aspect, picture))
    if not found:
        raise CanvasError(NOT_FOUND)
    found.sort(key=lambda candidate: -candidate.rank)
    rival = found[1].rank if len(found) > 1 else found[0].rank - 1.0
    return _placed(photo, edges, found[0], found[0].rank - rival)


def outline_near(
    photo: Photo, edges: EdgePicture, corners_px: ArrayLike, k1: float, *, size: Size, reference: Reference
) -> Outline:
    """The outline near a guess ``corners_px`` ``(4, 2)`` photo px, up to some 5 % of the canvas's width away.

    Nothing else in the photo is looked at, so its ``confidence`` is that the guess is of the canvas, and these are its
    edges. Raises CanvasError where no edges can be traced.
    """
    corners = (np.asarray(corners_px, dtype=np.float64) + 0.5) / edges.photo_px - 0.5
    sample, whole = picture_sampler(edges.picture), np.zeros(4, bool)
    found = _settled(edges, sample, corners, k1, whole, size.aspect, small_reference(reference))
    if found is None:
        raise CanvasError(NOT_FOUND)
    return _placed(photo, edges, found, ahead=1.0)


def _quads(edges: EdgePicture, aspect: float | None) -> Quads | None:
    pieces = segments(edges)
    parts = [propose(edges, straightened(edges, pieces, k1), k1, aspect) for k1 in TRIAL_LENSES]
    kept = [part for part in parts if part is not None]
    return together(kept) if kept else None


def _candidates(
    edges: EdgePicture, quads: Quads, aspect: float | None, reference: NDArray[np.float32] | None
) -> Iterator[_Candidate]:
    sample = picture_sampler(edges.picture)
    tried: list[Points] = []
    cropped_sides = quads.cropped.sum(axis=1).tolist()
    untried_kinds = {0, 1}
    for i in np.argsort(-quads.score):
        # The best whole outline and the best that runs out of the photo both have their say.
        if len(tried) >= _CANDIDATES and int(cropped_sides[i] > 0) not in untried_kinds:
            continue
        corners = edges.bend(quads.corners[i], float(quads.k1[i]))
        apart = _DIFFERENT * max(edges.width, edges.height)
        if any(np.linalg.norm(corners - other, axis=1).max() < apart for other in tried):
            continue
        tried.append(corners)
        untried_kinds.discard(int(cropped_sides[i] > 0))
        candidate = _settled(edges, sample, corners, float(quads.k1[i]), quads.cropped[i], aspect, reference)
        if candidate is not None:
            yield candidate
        if len(tried) >= _CANDIDATES and not untried_kinds:
            return


def _settled(
    edges: EdgePicture,
    sample: Sampler,
    corners: Points,
    k1: float,
    cropped: NDArray[np.bool_],
    aspect: float | None,
    reference: NDArray[np.float32] | None,
) -> _Candidate | None:
    """A proposal traced, settled among parallel edges, and traced again; None when its sides cannot be traced."""
    size = (edges.width, edges.height)
    first = traced(sample, corners, k1, cropped, size, reach_px=5.0, bow_px=3.0)
    if first is None:
        return None
    corners, lines, _ = first
    settled = settle(edges, corners, lines.k1, aspect, cropped)
    second = traced(sample, settled.corners, lines.k1, cropped, size, reach_px=1.5, bow_px=1.5, stay=0.1)
    if second is None:
        return None
    corners, lines, _ = second
    alike, turned = (0.0, 0) if reference is None else likeness(edges, corners, reference)
    straight = edges.straighten(corners, lines.k1)
    misfit = float(shape_misfit(straight[None], cropped[None], aspect, 2 * edges.half_diagonal)[0])
    share = float(share_of_picture(straight[None], edges)[0])
    return _Candidate(corners, lines.k1, settled, cropped, misfit, share, alike, turned)


def _placed(photo: Photo, edges: EdgePicture, best: _Candidate, ahead: float) -> Outline:
    """The winner traced in the full photo."""
    sample, size = photo_sampler(photo), (photo.width, photo.height)
    scale = float(edges.photo_px.max())
    corners, k1 = edges.to_photo(best.corners), best.k1
    doubled_px = np.zeros(4)
    for reach, bow, stay in ((1.2 * scale + 1, 1.0 * scale, 0.05 / scale), (3.0, 1.0, 0.02)):
        found = traced(
            sample, corners, k1, best.cropped, size, reach_px=reach, bow_px=bow, stay=stay, step_px=max(2.0, scale)
        )
        if found is None:
            raise CanvasError(NOT_FOUND)
        corners, lines, sides = found
        k1 = lines.k1
        if reach > 3.0:
            doubled = inner_of_doubled(sample, corners, k1, best.cropped, size, 2.2 * scale)
            corners, doubled_px = doubled.corners, doubled.stray_px
    shifts, _ = corner_shifts(lines, *size)
    stray = np.hypot(best.settled.stray * scale, doubled_px)
    cropped = tuple(name for name, out in zip(SIDES, best.cropped, strict=True) if out)
    signs = Signs(
        score=best.settled.score,
        lead=best.settled.lead,
        ahead=min(ahead, 1.0),
        weakest_side=float(best.settled.support.min()),
        weakest_corner=float(best.settled.joined.min()),
        misfit=best.misfit,
        share=best.share,
        spread=float(lines.spread_px.max() / scale),
        moved=float(np.linalg.norm(corners - edges.to_photo(best.corners), axis=1).max() / scale),
        likeness=best.likeness,
        cropped=len(cropped),
    )
    turn = np.roll(np.arange(4), -best.turned)
    points = tuple(sides[i].points for i in turn)
    return Outline(
        corners_px=corners[turn],
        confidence=certainty(signs),
        cropped=cropped,
        edge_points_px=(points[0], points[1], points[2], points[3]),
        uncertainty_px=np.sqrt((shifts**2).sum(axis=2).sum(axis=0) / 2 + stray**2)[turn],
        stray_px=stray[turn],
        k1=k1,
        lines=None if cropped else lines,
        turned=best.turned,
        signs=signs,
    )
