"""What a painting keeps of its drying: the room, the ground, and the touch tests of each sitting. For JSON.

Schema 1; any change of key, unit or meaning is a new number. What cannot be read becomes its default, with a sentence.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from core.errors import PaintError
from core.sitting.drying_factors import check_room
from core.sitting.layer import Ground, Room
from core.sitting.touch_tests import TouchTest, touches_as_json, touches_from_json

SITTING_DRYING = "sitting_drying"
"""The plan of the painting that holds the room, the ground and the touch tests."""
SCHEMA = 1


@dataclass(frozen=True)
class DryingRecord:
    """``ground``: None where it is not told. ``tests``: by the name or number of the sitting, as text."""

    room: Room = field(default_factory=Room)
    ground: Ground | None = None
    tests: Mapping[str, tuple[TouchTest, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, sitting: str) -> tuple[TouchTest, ...]:
        """The touch tests of a sitting, the first first."""
        return self.tests.get(sitting, ())

    def with_test(self, sitting: str, test: TouchTest) -> "DryingRecord":
        """With one test more."""
        return self._with(sitting, (*self.of(sitting), test))

    def without_test(self, sitting: str, test: TouchTest) -> "DryingRecord":
        """Without a test that was noted by mistake."""
        return self._with(sitting, tuple(each for each in self.of(sitting) if each != test))

    def to_json(self) -> dict[str, Any]:
        """Plain dictionaries; the room in degrees Celsius and per cent, times in ISO 8601."""
        return {
            "schema": SCHEMA,
            "room": {"temperature_c": self.room.temperature_c, "humidity": self.room.humidity},
            "ground": None if self.ground is None else str(self.ground),
            "tests": {sitting: touches_as_json(tests) for sitting, tests in self.tests.items()},
        }

    def _with(self, sitting: str, tests: tuple[TouchTest, ...]) -> "DryingRecord":
        kept = {**self.tests, sitting: tuple(sorted(tests, key=lambda each: each.at))}
        return replace(self, tests=MappingProxyType({name: told for name, told in kept.items() if told}))


def drying_from_json(value: Any) -> tuple[DryingRecord, tuple[str, ...]]:
    """The record, as far as it can be read, and sentences on what could not. Never raises. None is a new record."""
    if value is None:
        return DryingRecord(), ()
    if not isinstance(value, dict):
        return DryingRecord(), ("What was kept of the drying could not be read, and starts anew.",)
    told: list[str] = []
    schema = value.get("schema")
    if isinstance(schema, int) and schema > SCHEMA:
        told.append(
            "What was kept of the drying comes from a newer version, and only what this one knows is shown. "
            "Open the painting with the newer version before you change it."
        )
    room, ground = _room(value.get("room"), told), _ground(value.get("ground"), told)
    return DryingRecord(room, ground, MappingProxyType(_tests(value.get("tests"), told))), tuple(told)


def _room(value: Any, told: list[str]) -> Room:
    if value is None:
        return Room()
    try:
        room = Room(float(value["temperature_c"]), float(value["humidity"]))
        check_room(room)
    except (KeyError, TypeError, ValueError, OverflowError, PaintError):
        told.append("The room could not be read: 20 °C and 50 % are taken.")
        return Room()
    return room


def _ground(value: Any, told: list[str]) -> Ground | None:
    if value is None:
        return None
    try:
        return Ground(value)
    except ValueError:
        told.append("The ground could not be read: choose it again.")
        return None


def _tests(value: Any, told: list[str]) -> dict[str, tuple[TouchTest, ...]]:
    if value is None:
        return {}
    if not isinstance(value, dict):
        told.append("The touch tests could not be read and must be noted again.")
        return {}
    read = {}
    for sitting, entries in value.items():
        tests, lost = touches_from_json(entries)
        told.extend(lost)
        if tests:
            read[str(sitting)] = tuple(sorted(tests, key=lambda each: each.at))
    return read
