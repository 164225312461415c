"""What the painter asks of an edge plan: where the eye is to rest, what is brushed over by hand, how much is hard."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from core.edge.kinds import EdgeBounds, EdgeKind
from core.errors import PainterError
from core.size import Size

USUAL_VIEWING_MM = 1000.0
"""About arm's length and half as much again: where a painter steps back to."""
NEAREST_VIEWING_MM, FARTHEST_VIEWING_MM = 100.0, 20_000.0
MOST_STRENGTH = 3.0
_RADIUS_SHARE = 0.1
_ON_EDGE_MM = 0.01
_LARGEST = 1e9
WIDEST_RADIUS_MM = 100_000.0
"""So far no canvas reaches; what is wider cannot be drawn."""


@dataclass(frozen=True)
class FocalPoint:
    """Where the eye is to rest, mm on the canvas, and the radius about it in which edges stay as they are."""

    x_mm: float
    y_mm: float
    radius_mm: float

    def __post_init__(self) -> None:
        _finite("The place of a focal point", self.x_mm, self.y_mm)
        if not 0 < self.radius_mm < math.inf:
            raise PainterError(
                f"A focal point with a radius of {self.radius_mm:g} mm holds nothing. Give a radius above 0 mm."
            )
        if self.radius_mm > WIDEST_RADIUS_MM:
            raise PainterError(
                f"A focal point with a radius of {self.radius_mm:g} mm reaches beyond any canvas. Give one of "
                f"{WIDEST_RADIUS_MM / 1000:g} m or less."
            )


def usual_radius_mm(size: Size) -> float:
    """The radius of a focal point for which none is given: a tenth of the canvas's diagonal."""
    return _RADIUS_SHARE * math.hypot(size.width_mm, size.height_mm)


@dataclass(frozen=True)
class Brushed:
    """Edges under this stroke are of ``kind``, whatever the rest of the plan says: a polyline of x, y mm (one point: a
    dab), as wide as ``width_mm``."""

    points_mm: tuple[tuple[float, float], ...]
    width_mm: float
    kind: EdgeKind

    def __post_init__(self) -> None:
        if not self.points_mm:
            raise PainterError("A stroke over the edges needs at least one point. Brush along the edge again.")
        for x, y in self.points_mm:
            _finite("A stroke over the edges", x, y)
        if not 0 < self.width_mm < math.inf:
            raise PainterError(f"A brush {self.width_mm:g} mm wide reaches no edge. Give a width above 0 mm.")


@dataclass(frozen=True)
class EyeSettings:
    """How the eye is placed: ``viewing_mm`` from the canvas; ``strength`` 0 (sharp all over) to 1 (as the eye is) and
    on to 3 (three times as blurred)."""

    viewing_mm: float = USUAL_VIEWING_MM
    strength: float = 1.0

    def __post_init__(self) -> None:
        if not NEAREST_VIEWING_MM <= self.viewing_mm <= FARTHEST_VIEWING_MM:
            raise PainterError(
                f"{self.viewing_mm:g} mm is no distance to look at a canvas from. Give between "
                f"{NEAREST_VIEWING_MM:g} mm and {FARTHEST_VIEWING_MM / 1000:g} m."
            )
        if not 0 <= self.strength <= MOST_STRENGTH:
            raise PainterError(
                f"The eye's blur can be shown from 0 to {MOST_STRENGTH:g} times as strong; {self.strength:g} is not "
                "within that."
            )


@dataclass(frozen=True)
class EdgeBrief:
    """The whole of what is asked. ``brushed``: where two strokes lie over one edge, the later one counts.

    ``wanted_hard``: the share of edge length, 0-1, that the painter would like to be hard, or None. ``eye``: plan by
    what the eye sees from a distance in place of distance alone, or None (see :mod:`core.edge.plan`). ``bounds``: of
    the kinds; those usual for the canvas when not given. Raises PainterError for a focal point off the canvas, and for
    a share outside 0-1.
    """

    size: Size
    foci: tuple[FocalPoint, ...] = ()
    brushed: tuple[Brushed, ...] = ()
    wanted_hard: float | None = None
    eye: EyeSettings | None = None
    bounds: EdgeBounds | None = None

    def __post_init__(self) -> None:
        for focus in self.foci:
            over = _ON_EDGE_MM
            across = -over <= focus.x_mm <= self.size.width_mm + over
            if not (across and -over <= focus.y_mm <= self.size.height_mm + over):
                raise PainterError(
                    f"A focal point at {focus.x_mm:g}, {focus.y_mm:g} mm lies off the canvas, which is "
                    f"{self.size.width_mm:g} × {self.size.height_mm:g} mm. Put it on the canvas."
                )
        if self.wanted_hard is not None and not 0 <= self.wanted_hard <= 1:
            raise PainterError(
                f"The share of edges that are to be hard is between 0 and 100 %; {100 * self.wanted_hard:g} % is not."
            )

    @property
    def kind_bounds(self) -> EdgeBounds:
        """The bounds given, or those usual for the canvas."""
        return self.bounds or EdgeBounds.for_size(self.size)

    def to_json(self) -> dict[str, Any]:
        """Plain data that :meth:`from_json` reads back."""
        bounds = self.bounds
        return {
            "size_mm": [self.size.width_mm, self.size.height_mm],
            "foci": [[each.x_mm, each.y_mm, each.radius_mm] for each in self.foci],
            "brushed": [
                {"points_mm": [list(p) for p in each.points_mm], "width_mm": each.width_mm, "kind": str(each.kind)}
                for each in self.brushed
            ],
            "wanted_hard": self.wanted_hard,
            "eye": None if self.eye is None else {"viewing_mm": self.eye.viewing_mm, "strength": self.eye.strength},
            "bounds_mm": None if bounds is None else [bounds.hard_mm, bounds.firm_mm, bounds.soft_mm],
        }

    @classmethod
    def from_json(cls, data: Any) -> "EdgeBrief":
        """Raises PainterError with a sentence when something is missing or wrong."""
        if not isinstance(data, Mapping):
            raise PainterError(_UNREADABLE.format("it is not a set of named entries"))
        size = Size(*_numbers(data.get("size_mm"), 2, "size_mm"))
        eye, bounds, wanted = (data.get(name) for name in ("eye", "bounds_mm", "wanted_hard"))
        return cls(
            size,
            tuple(FocalPoint(*_numbers(each, 3, "foci")) for each in _list(data.get("foci", []), "foci")),
            tuple(_brushed(each) for each in _list(data.get("brushed", []), "brushed")),
            None if wanted is None else _number(wanted, "wanted_hard"),
            None if eye is None else _eye(eye),
            None if bounds is None else EdgeBounds(*_numbers(bounds, 3, "bounds_mm")),
        )


_UNREADABLE = "The edge plan cannot be read: {}. Set its focal points again."


def _finite(what: str, *numbers: float) -> None:
    if not all(math.isfinite(number) for number in numbers):
        raise PainterError(f"{what} is not known. Set it again on the canvas.")


def _brushed(data: Any) -> Brushed:
    if not isinstance(data, Mapping):
        raise PainterError(_UNREADABLE.format("“brushed” holds what is no stroke"))
    kind = data.get("kind")
    if kind not in list(EdgeKind):
        raise PainterError(_UNREADABLE.format(f"“{kind}” is no kind of edge"))
    points = [_numbers(each, 2, "points_mm") for each in _list(data.get("points_mm"), "points_mm")]
    return Brushed(tuple((x, y) for x, y in points), _number(data.get("width_mm"), "width_mm"), EdgeKind(kind))


def _eye(data: Any) -> EyeSettings:
    if not isinstance(data, Mapping):
        raise PainterError(_UNREADABLE.format("“eye” holds no settings"))
    return EyeSettings(_number(data.get("viewing_mm"), "viewing_mm"), _number(data.get("strength"), "strength"))


def _list(data: Any, name: str) -> Sequence[Any]:
    if isinstance(data, list | tuple):
        return data
    raise PainterError(_UNREADABLE.format(f"“{name}” is not a list"))


def _numbers(data: Any, count: int, name: str) -> list[float]:
    given = _list(data, name)
    if len(given) != count:
        raise PainterError(_UNREADABLE.format(f"“{name}” needs {count} numbers together, not {len(given)}"))
    return [_number(each, name) for each in given]


def _number(data: Any, name: str) -> float:
    if isinstance(data, int | float) and not isinstance(data, bool) and abs(data) <= _LARGEST:
        return float(data)
    raise PainterError(_UNREADABLE.format(f"“{name}” needs a number, not {data!r}"))
