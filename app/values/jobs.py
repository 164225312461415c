"""What is read of a reference for the value question. Pure functions, for a worker thread."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.prints import Sheet
from app.values.looks import KeyedKey, PlanKey, plan_picture, plan_steps
from app.values.settings import PaintReach
from app.view import FEWEST_STEPS, MOST_STEPS
from app.wall.value_marks import Outline
from app.work import Progress
from core.size import Size
from core.words import as_share

if TYPE_CHECKING:
    from core.drawing.drawing import Drawing
    from core.value.boundaries import Histogram
    from core.value.first_marks import FirstMark
    from core.value.keying import KeyingCurve
    from core.value.order import Placed
    from core.value.regions import Regions
    from core.value.steps import Steps

Map = NDArray[np.float32]

_WORTH_A_NOTE = 0.01
_MOST_OUTLINE_PX = 700_000
"""The outline of a region of more pixels than this (most of a picture) is taken from every second one."""


@dataclass(frozen=True, eq=False)
class Tones:
    """``histogram`` of the reference as it hangs, keyed if it is; ``best``: the boundaries of the best separation by
    the number of steps. ``curve``: of the keying."""

    histogram: "Histogram"
    best: dict[int, tuple[float, ...]]
    curve: "KeyingCurve | None" = None


@dataclass(frozen=True, eq=False)
class Work:
    """The order of work over the regions of the plan ``key``, whose ``steps`` these are."""

    regions: "Regions"
    placed: "tuple[Placed, ...]"
    key: PlanKey
    steps: "Steps"

    @property
    def boundaries(self) -> tuple[float, ...]:
        """Between the steps of the plan."""
        return self.key.boundaries

    @property
    def plan(self) -> NDArray[np.uint8]:
        """``(H, W)``: the picture of the plan in greys, made when it is wanted, for the page."""
        return plan_picture(self.steps, self.key)


@dataclass(frozen=True)
class BeyondReach:
    """Shares of the reference, 0-1, that are darker and lighter than the paint can be, and by how many steps."""

    dark_share: float
    light_share: float
    dark_steps: float
    light_steps: float


def read_tones(sheet: Sheet, keyed: KeyedKey | None, progress: Progress) -> Tones:
    """What the boundaries are found from."""
    from core.value.boundaries import Histogram, best_boundaries

    progress(say="Reading the values")
    value = _seen(sheet, None)
    curve = None if keyed is None else keyed.curve(value)
    histogram = Histogram.of(value if curve is None else curve.of(value))
    counts = range(FEWEST_STEPS, MOST_STEPS + 1)
    best = {count: tuple(best_boundaries(histogram, count).tolist()) for count in counts}
    return Tones(histogram, best, curve)


def find_marks(sheet: Sheet, keyed: KeyedKey | None, progress: Progress) -> "tuple[FirstMark, ...]":
    """The first marks. Raises ValuesError with a sentence."""
    from core.value.first_marks import SMALLEST_MM2, first_marks

    progress(say="Finding the first marks")
    value = _seen(sheet, keyed)
    px_per_mm = sheet.mapping.px_per_mm
    smallest = min(SMALLEST_MM2, value.size / px_per_mm**2 / 100)
    return first_marks(value, px_per_mm=px_per_mm, smallest_mm2=smallest)


def find_order(
    sheet: Sheet,
    keyed: KeyedKey | None,
    plan: PlanKey,
    squint_mm: float,
    marks: "tuple[FirstMark, ...]",
    progress: Progress,
) -> Work:
    """The order of work from these first marks outward, over the regions of the plan."""
    from core.value.order import order_of_work
    from core.value.regions import regions_of

    progress(say="Finding the order of work")
    value, px_per_mm = _seen(sheet, keyed), sheet.mapping.px_per_mm
    steps = plan_steps(value, plan, px_per_mm=px_per_mm, squint_mm=squint_mm)
    progress(say="Finding the order of work")
    regions = regions_of(value, steps, px_per_mm=px_per_mm)
    placed = order_of_work(regions, marks, plan.boundaries)
    return Work(regions, placed, plan, steps)


def outline_of(work: Work, region: int, progress: Progress) -> Outline:
    """The outline of one region."""
    from core.value.borders import borders

    progress(say="Drawing the outline")
    inside = work.regions.label == region
    rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    part = inside[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    every = 2 if part.size > _MOST_OUTLINE_PX else 1
    padded = np.pad(part[::every, ::every].astype(np.uint8), 1)
    px_per_mm = work.regions.px_per_mm / every
    corner = np.array([columns[0], rows[0]]) / work.regions.px_per_mm - 1 / px_per_mm
    return Outline(tuple(border.points_mm + corner for border in borders(padded, px_per_mm=px_per_mm)))


def find_beyond(sheet: Sheet, darkest: float, lightest: float, progress: Progress) -> BeyondReach:
    """What of the reference as photographed lies beyond a reach."""
    from core.value.reach import Reach, beyond

    progress(say="Measuring the reach")
    found = beyond(_seen(sheet, None), Reach(darkest, lightest))
    return BeyondReach(found.dark_share, found.light_share, found.dark_steps, found.light_steps)


def find_looks_lighter(sheet: Sheet, progress: Progress) -> tuple[str, str]:
    """Where strong colour looks lighter than it measures, in one line and at length; empty where it does not matter."""
    from core import tone
    from core.value.helmholtz_kohlrausch import looks_lighter

    progress(say="Reading the values")
    linear = tone.linear_of_codes(np.ascontiguousarray(sheet.codes[::2, ::2]), sheet.curve)
    found = looks_lighter(linear, px_per_mm=sheet.mapping.px_per_mm / 2)
    if found.share < _WORTH_A_NOTE or not found.note:
        return "", ""
    most = max(place.steps for place in found.places)
    return (
        f"Strong colour looks up to {most:.1f} steps lighter than it measures, "
        f"over {as_share(found.share)} of the picture.",
        found.note,
    )


def measure_reach(value_canvas: Map, size: Size, uncertainty: float, progress: Progress) -> PaintReach:
    """The darkest and the lightest that stand on a canvas: ``value_canvas`` as in a check's maps. Raises ValuesError
    with a sentence."""
    from core.value.reach import measured_reach

    progress(say="Measuring the reach")
    px_per_mm = value_canvas.shape[1] / size.width_mm
    found = measured_reach(value_canvas, px_per_mm=px_per_mm, uncertainty_steps=uncertainty)
    return PaintReach(found.darkest, found.lightest, found.uncertainty, from_canvas=True)


def draw_plan(
    sheet: Sheet, keyed: KeyedKey | None, plan: PlanKey, squint_mm: float, size: Size, progress: Progress
) -> "Drawing":
    """The shapes of the plan as lines."""
    from core.plan_drawing import plan_drawing

    progress(say="Drawing the shapes")
    steps = plan_steps(_seen(sheet, keyed), plan, px_per_mm=sheet.mapping.px_per_mm, squint_mm=squint_mm)
    progress(say="Drawing the shapes")
    return plan_drawing(steps, size)


def _seen(sheet: Sheet, keyed: KeyedKey | None) -> Map:
    """The values of a reference as it hangs."""
    from core import tone

    value = tone.value_map(sheet.codes, sheet.curve)
    return value if keyed is None else keyed.curve(value).of(value)
