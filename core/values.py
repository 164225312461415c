"""The value question asked of the reference alone, before there is a canvas: plan, first marks, order of work."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.flat import Flat
from core.canvas.lay_flat import reference_flat
from core.check import working_px_per_mm
from core.photo import Photo, load_photo
from core.size import Size
from core.tone import value_of_linear
from core.value.boundaries import Histogram, best_boundaries, equal_boundaries, moved_boundaries
from core.value.first_marks import SMALLEST_MM2, FirstMark, first_marks
from core.value.helmholtz_kohlrausch import LooksLighter, looks_lighter
from core.value.keying import Keying, KeyingCurve, keyed_linear, keying_curve
from core.value.order import Placed, order_of_work
from core.value.reach import OIL, Beyond, Reach, beyond
from core.value.regions import Regions, regions_of
from core.value.steps import Steps, steps_between

Map = NDArray[np.float32]
Progress = Callable[[float, str], None]

COUNT = 5
PLAN_SMALLEST_MM2 = 100.0
"""Shapes of a plan smaller than this are joined to their neighbours: 1 cm², what a small brush lays in at once."""


class Way(StrEnum):
    """How the boundaries of a value plan are set."""

    EQUAL = "equal steps"
    BEST = "best separation"
    MOVED = "moved by hand"


@dataclass(frozen=True)
class ValuesRequest:
    """Everything that is asked. ``moved``: the boundaries, Munsell values, when ``way`` is MOVED; ``count`` does not
    matter then. ``smallest_mm2``: of the plan's shapes; ``marks_mm2``: of a first mark; ``reference_crop``: as in a
    check."""

    reference: Photo
    size: Size
    reference_crop: ArrayLike | None = None
    way: Way = Way.EQUAL
    count: int = COUNT
    moved: tuple[float, ...] = ()
    smallest_mm2: float = PLAN_SMALLEST_MM2
    squint_mm: float = 0.0
    marks_mm2: float = SMALLEST_MM2
    reach: Reach = OIL
    keying: Keying = Keying.NONE


@dataclass(frozen=True, eq=False)
class ValuesResult:
    """``reference``: as photographed; ``keyed``: with its values keyed, the same picture when they are not. ``value``:
    ``(H, W)`` Munsell value of ``keyed``, which everything else is about; ``outside`` is about the reference itself.
    """

    request: ValuesRequest
    reference: Flat
    keyed: Flat
    value: Map
    outside: Beyond
    curve: KeyingCurve
    steps: Steps
    regions: Regions
    marks: tuple[FirstMark, ...]
    order: tuple[Placed, ...]
    lighter: LooksLighter
    notes: tuple[str, ...] = field(default=())


def load_values_request(reference: Path, size: Size) -> ValuesRequest:
    """Read the reference. Raises PhotoError with a sentence."""
    return ValuesRequest(load_photo(reference), size)


def run_values(request: ValuesRequest, *, progress: Progress | None = None) -> ValuesResult:
    """Ask the value question of a reference.

    ``progress(share 0-1, what is being done)`` may raise CancelledError. Raises ValuesError for numbers that cannot be.
    """
    tell = progress or (lambda share, doing: None)
    tell(0.0, "looking at the reference")
    fits = max(request.reference.width / request.size.width_mm, request.reference.height / request.size.height_mm)
    px_per_mm = working_px_per_mm(request.size, fits)
    flat, notes = reference_flat(request.reference, request.size, px_per_mm, crop=request.reference_crop)
    before = value_of_linear(flat.linear)
    outside = beyond(before, request.reach)
    curve = keying_curve(before, request.reach, request.keying)
    keyed = flat if request.keying is Keying.NONE else replace(flat, linear=keyed_linear(flat.linear, curve))
    value = before if keyed is flat else value_of_linear(keyed.linear)
    tell(0.3, "parting the values")
    steps = steps_between(
        value,
        boundaries_for(value, request),
        px_per_mm=flat.px_per_mm,
        smallest_mm2=request.smallest_mm2,
        squint_mm=request.squint_mm,
    )
    tell(0.5, "finding the first marks")
    marks = first_marks(value, px_per_mm=flat.px_per_mm, smallest_mm2=request.marks_mm2)
    tell(0.7, "ordering the work")
    regions = regions_of(value, steps, px_per_mm=flat.px_per_mm)
    order = order_of_work(regions, marks, steps.boundaries)
    lighter = looks_lighter(keyed.linear, px_per_mm=flat.px_per_mm)
    tell(1.0, "done")
    said = (*notes, lighter.note) if lighter.note else notes
    return ValuesResult(request, flat, keyed, value, outside, curve, steps, regions, marks, order, lighter, said)


def boundaries_for(value: Map, request: ValuesRequest) -> NDArray[np.float64]:
    """The boundaries that are asked for, ``(count - 1,)``. Raises ValuesError."""
    if request.way is Way.MOVED:
        return moved_boundaries(request.moved)
    if request.way is Way.BEST:
        return best_boundaries(Histogram.of(value), request.count)
    return equal_boundaries(request.count)
