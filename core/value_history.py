"""Values over the sittings: how much was right each time, and what became of each passage, from the kept checks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from core import words
from core.size import Size

CHANGED_STEPS = 0.25
"""A passage that moved by less than this is as it was."""
CHANGED_AREA = 1.4
"""Nor when it grew or shrank by less than this factor."""


class Became(StrEnum):
    """What a passage did since the photo before."""

    CAME = "came"
    WORSE = "worse"
    SAME = "as it was"
    BETTER = "better"
    MENDED = "mended"
    BACK = "came back"


@dataclass(frozen=True)
class Area:
    """A passage as a kept check has it; ``steps``: canvas minus reference, negative too dark."""

    x_mm: float
    y_mm: float
    area_cm2: float
    steps: float

    @property
    def reach_mm(self) -> float:
        """The radius of a disc of its area."""
        return float(np.sqrt(self.area_cm2 * 100 / np.pi))


@dataclass(frozen=True)
class ValueSitting:
    """One row of the table: a checked canvas photo. ``number``: of the sitting.

    ``share_within``: share of the picture within half a step, 0-1, None when the check could not tell. ``dark_cm2``,
    ``light_cm2``: of the passages too dark and too light. ``overall_steps``: the passages' error spread over the whole
    canvas, steps, negative too dark. ``uncertainty_steps``: how well the light was taken out.
    """

    number: int
    canvas_photo: int
    size: Size
    areas: tuple[Area, ...]
    share_within: float | None
    uncertainty_steps: float | None

    @property
    def dark_cm2(self) -> float:
        return sum(area.area_cm2 for area in self.areas if area.steps < 0)

    @property
    def light_cm2(self) -> float:
        return sum(area.area_cm2 for area in self.areas if area.steps > 0)

    @property
    def overall_steps(self) -> float:
        canvas = self.size.width_mm * self.size.height_mm / 100
        return sum(area.area_cm2 * area.steps for area in self.areas) / canvas

    @property
    def say(self) -> str:
        """Such as ``sitting 2: 84 % within half a step; 31 cm² too dark``."""
        share = self.share_within
        parts = ["nothing could be judged" if share is None else f"{words.as_share(share)} within half a step"]
        off = {"dark": self.dark_cm2, "light": self.light_cm2}
        parts += [f"{words.area(area)} too {way}" for way, area in off.items() if area]
        return f"sitting {self.number}: {'; '.join(parts)}"


@dataclass(frozen=True)
class PassageMoment:
    """A passage at one canvas photo: what became of it, and the area, None when it is mended."""

    sitting: int
    canvas_photo: int
    became: Became
    area: Area | None


@dataclass(frozen=True)
class PassageCourse:
    """One passage from the photo where it came, oldest first; after it was mended only a return is told."""

    moments: tuple[PassageMoment, ...]
    size: Size

    @property
    def last(self) -> Area:
        """As it was last seen."""
        return next(moment.area for moment in reversed(self.moments) if moment.area is not None)

    @property
    def is_mended(self) -> bool:
        return self.moments[-1].became is Became.MENDED

    @property
    def say(self) -> str:
        """Such as ``lower left: 1.2 steps too dark in sitting 1, better in sitting 2 (0.7), mended in sitting 3``."""
        parts = []
        for moment in self.moments:
            if moment.became is Became.CAME and moment.area is not None:
                parts.append(f"{words.value_fault(moment.area.steps)} in sitting {moment.sitting}")
                continue
            figure = "" if moment.area is None else f" ({abs(moment.area.steps):.1f})"
            parts.append(f"{moment.became} in sitting {moment.sitting}{figure}")
        return f"{words.place(self.last.x_mm, self.last.y_mm, self.size)}: {', '.join(parts)}"


@dataclass(frozen=True)
class ValueHistory:
    """``sittings``: the table, in the order given. ``courses``: of every passage, those still there first, then the
    heaviest as last seen."""

    sittings: tuple[ValueSitting, ...]
    courses: tuple[PassageCourse, ...]

    @property
    def say(self) -> str:
        """What the last photo changed, such as ``Since the photo before: 2 mended, 1 better, 1 came; 84 % within half a
        step, before 71 %.``; empty with fewer than two."""
        if len(self.sittings) < 2:
            return ""
        now, before = self.sittings[-1], self.sittings[-2]
        last = [c.moments[-1].became for c in self.courses if c.moments[-1].canvas_photo == now.canvas_photo]
        counted = [f"{last.count(kind)} {kind}" for kind in _ORDER if kind in last]
        shares = ""
        if now.share_within is not None and before.share_within is not None:
            shares = (
                f"{words.as_share(now.share_within)} within half a step, before {words.as_share(before.share_within)}"
            )
        told = "; ".join(part for part in (", ".join(counted) or "no passage changed", shares) if part)
        return f"Since the photo before: {told}."


_ORDER = (Became.MENDED, Became.BETTER, Became.SAME, Became.WORSE, Became.CAME, Became.BACK)


def value_sitting(number: int, canvas_photo: int, check: Mapping[str, Any]) -> ValueSitting:
    """A row from the data of a kept ``check.json`` (schema 1). KeyError when the values were not asked."""
    value = check["value"]
    areas = tuple(
        Area(float(a["x_mm"]), float(a["y_mm"]), float(a["area_cm2"]), float(a["steps"]))
        for a in value["areas"]
        if None not in (a["x_mm"], a["y_mm"], a["area_cm2"], a["steps"])
    )
    return ValueSitting(
        number, canvas_photo, Size(*check["size_mm"]), areas, value["share_within_half_step"],
        check["light"]["uncertainty_steps"],
    )  # fmt: skip


def value_history(sittings: Sequence[ValueSitting]) -> ValueHistory:
    """Follow the passages from photo to photo by place and sign; ``sittings`` oldest first.

    Two areas are one passage when each has its middle within the reach of both together, the nearest pairs first.
    """
    followed: list[list[PassageMoment]] = []
    for row in sittings:
        pairs = _pairs([_last(course) for course in followed], row.areas)
        taken = set(pairs.values())
        for index, course in enumerate(followed):
            area = row.areas[pairs[index]] if index in pairs else None
            became = _became(course[-1], _last(course), area)
            if became is not None:
                course.append(PassageMoment(row.number, row.canvas_photo, became, area))
        followed += [
            [PassageMoment(row.number, row.canvas_photo, Became.CAME, area)]
            for k, area in enumerate(row.areas)
            if k not in taken
        ]
    courses = [PassageCourse(tuple(course), sittings[-1].size) for course in followed]
    courses.sort(key=lambda c: (c.is_mended, -abs(c.last.steps) * float(np.sqrt(c.last.area_cm2))))
    return ValueHistory(tuple(sittings), tuple(courses))


def _last(course: Sequence[PassageMoment]) -> Area:
    return next(moment.area for moment in reversed(course) if moment.area is not None)


def _became(before: PassageMoment, known: Area, now: Area | None) -> Became | None:
    """None: it was mended already, and still is."""
    if now is None:
        return None if before.became is Became.MENDED else Became.MENDED
    if before.became is Became.MENDED:
        return Became.BACK
    moved = abs(now.steps) - abs(known.steps)
    if abs(moved) < CHANGED_STEPS:
        grown = now.area_cm2 / max(known.area_cm2, 1e-9)
        moved = 1.0 if grown > CHANGED_AREA else -1.0 if grown < 1 / CHANGED_AREA else 0.0
    return Became.WORSE if moved > 0 else Became.BETTER if moved < 0 else Became.SAME


def _pairs(known: Sequence[Area], now: Sequence[Area]) -> dict[int, int]:
    """Which known area each of the new ones is, ``{known: new}``: nearest first, each once."""
    near = []
    for i, one in enumerate(known):
        for k, other in enumerate(now):
            away = float(np.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm))
            if one.steps * other.steps > 0 and away <= max(one.reach_mm, other.reach_mm):
                near.append((away, i, k))
    pairs: dict[int, int] = {}
    for _, i, k in sorted(near):
        if i not in pairs and k not in pairs.values():
            pairs[i] = k
    return pairs
