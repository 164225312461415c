"""Drift of each landmark over the sittings, as a table from the checks of the canvas photos."""

from collections.abc import Sequence
from dataclasses import dataclass

from core import words


@dataclass(frozen=True)
class Seen:
    """One landmark in one check: its drift and its sigma each way, mm; None where it could not be told."""

    name: str
    dx_mm: float | None
    dy_mm: float | None
    sigma_mm: float | None
    by_hand: bool = False


@dataclass(frozen=True)
class Sitting:
    """What one canvas photo showed. ``number``: of the sitting; several photos may be of one."""

    number: int
    canvas_photo: int
    landmarks: tuple[Seen, ...]


@dataclass(frozen=True)
class Moment:
    """One landmark at one canvas photo; the drift is None in a gap."""

    sitting: int
    canvas_photo: int
    seen: Seen | None

    @property
    def drift_mm(self) -> tuple[float, float] | None:
        seen = self.seen
        return None if seen is None or seen.dx_mm is None or seen.dy_mm is None else (seen.dx_mm, seen.dy_mm)


@dataclass(frozen=True)
class Course:
    """One landmark over the sittings, oldest first."""

    name: str
    moments: tuple[Moment, ...]

    @property
    def told(self) -> tuple[Moment, ...]:
        return tuple(moment for moment in self.moments if moment.drift_mm is not None)

    @property
    def say(self) -> str:
        """Such as ``right eye: 3.1 mm too far left in sitting 1, 0.8 mm in sitting 3``; empty when never told.

        The direction is said again only when it changes, and a photo is counted where a sitting has several.
        """
        parts, before = [], ""
        for moment in self.told:
            dx, dy = moment.drift_mm or (0.0, 0.0)
            full = words.direction(dx, dy)
            way = words.way(dx, dy)
            short = f"{max(abs(dx), abs(dy)):.1f} mm"
            parts.append(f"{short if way and way == before else full} in {self._when(moment)}")
            before = way if " and " not in way else ""  # two ways at once take both their lengths each time
        return f"{self.name}: {', '.join(parts)}" if parts else ""

    def _when(self, moment: Moment) -> str:
        same = [each for each in self.moments if each.sitting == moment.sitting]
        if len(same) == 1:
            return f"sitting {moment.sitting}"
        return f"sitting {moment.sitting}, photo {same.index(moment) + 1}"


def courses(sittings: Sequence[Sitting]) -> dict[str, Course]:
    """The course of every landmark by name. ``sittings``: the checked photos in the ledge's order.

    A landmark that a check does not have, or could not tell, is a gap there.
    """
    names = dict.fromkeys(seen.name for sitting in sittings for seen in sitting.landmarks)
    return {
        name: Course(name, tuple(Moment(s.number, s.canvas_photo, _of(s, name)) for s in sittings)) for name in names
    }


def _of(sitting: Sitting, name: str) -> Seen | None:
    return next((seen for seen in sitting.landmarks if seen.name == name), None)
