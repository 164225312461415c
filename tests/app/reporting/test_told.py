from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from app.reporting.told import plan_lines, sitting_words, told_of
from core.painting import CanvasPhotoRecord, Painting
from core.sitting.coat import Coat, SittingTube
from core.sitting.layer import Medium, Thickness
from core.sitting.log import SITTING_LOG, LoggedSitting, SittingLog, ToMend
from core.sitting.plan import SITTING_PLAN, PlannedSitting, SittingPlan
from core.sitting.timer import Timer

THIN = Coat(Medium.SOLVENT, Thickness.THIN, (SittingTube("burnt umber"),))
PLAN = SittingPlan((PlannedSitting(1, "The darks.", THIN, 65), PlannedSitting(2, "", THIN, 60)), 3)
BEGAN = datetime(2026, 5, 3, 10, tzinfo=UTC)
FIRST = LoggedSitting(
    1, THIN, date(2026, 5, 3), "Blocked in.", Timer().started(BEGAN).stopped(BEGAN + timedelta(minutes=70)),
    to_mend=(ToMend("Jug too wide."), ToMend("Lip too dark.", True)),
)  # fmt: skip


@pytest.fixture(scope="module")
def photos(plain: Path) -> list[CanvasPhotoRecord]:
    with Painting.open(plain) as painting:
        return list(painting.canvas_photos())


def test_the_plan_is_told_in_lines() -> None:
    assert plan_lines(PLAN) == (
        "Planned: 2 sittings, 2 h 05 min in all.",
        "Sitting 1, 1 h 05 min: The darks. Thin, thinned with solvent: burnt umber.",
        "Sitting 2, 1 h 00 min: Thin, thinned with solvent: burnt umber.",
    )
    assert plan_lines(SittingPlan((), 1)) == ()


def test_a_sitting_is_told_by_its_log() -> None:
    told = sitting_words(PLAN, SittingLog((FIRST, LoggedSitting(2))), [], to_mend=True)
    assert list(told) == [1], "what was not begun is not told"
    words = told[1]
    assert (words.on, words.aim, words.minutes) == (date(2026, 5, 3), "The darks.", 70)
    assert words.medium == "Thin, thinned with solvent: burnt umber"
    assert words.done == ("Blocked in.", "Still to mend: Jug too wide.")
    assert sitting_words(PLAN, SittingLog((FIRST,)), [], to_mend=False)[1].done == ("Blocked in.",)


def test_words_stand_beside_the_photo_after_the_sitting(photos: list[CanvasPhotoRecord]) -> None:
    noted = [replace(photo, note="By daylight." if photo.sitting == 3 else "") for photo in photos]
    log = SittingLog((replace(FIRST, after=photos[2].id), LoggedSitting(2, THIN, date(2026, 5, 9), "Lights.")))
    told = sitting_words(PLAN, log, noted, to_mend=False)
    assert {number: words.done for number, words in told.items()} == {
        3: ("Blocked in.", "By daylight."),
        2: ("Lights.",),
    }


def test_no_sitting_is_lost_or_told_twice(photos: list[CanvasPhotoRecord]) -> None:
    """Two say that the same photo came after them, and one is planned no longer."""
    days = [date(2026, 5, 1) + timedelta(days=each) for each in range(3)]
    entries = [LoggedSitting(key, THIN, day, f"Sitting {key}.") for key, day in zip((1, 2, 9), days, strict=True)]
    entries[:2] = [replace(entry, after=photos[0].id) for entry in entries[:2]]
    told = sitting_words(PLAN, SittingLog(tuple(entries)), photos, to_mend=False)
    assert [words.done for words in told.values()] == [(entry.done,) for entry in entries]
    assert list(told) == [1, 2, 4]


def test_all_that_a_painting_keeps_is_told(plain: Path) -> None:
    with Painting.open(plain, look_only=True) as held:
        whole = told_of(held, to_mend=True)
    assert whole.plan[0].startswith("Planned: 4 sittings")
    assert set(whole.sittings) == {1, 2}
    assert whole.trouble == ()


class Spoilt:
    """A painting of which only its plans are asked for."""

    def __init__(self, plans: dict[str, object]) -> None:
        self._plans = plans

    def plan(self, name: str) -> object:
        return self._plans.get(name)

    def canvas_photos(self) -> tuple[CanvasPhotoRecord, ...]:
        return ()


def test_a_log_of_a_newer_program_leaves_the_plan() -> None:
    told = told_of(Spoilt({SITTING_PLAN: PLAN.to_json(), SITTING_LOG: {"schema": 99, "entries": []}}), to_mend=True)  # type: ignore[arg-type]
    assert len(told.plan) == 3
    assert told.sittings == {}
    assert len(told.trouble) == 1
    told = told_of(Spoilt({SITTING_PLAN: "torn", SITTING_LOG: SittingLog((FIRST,)).to_json()}), to_mend=True)  # type: ignore[arg-type]
    assert told.plan == ()
    assert list(told.sittings) == [1]
    assert len(told.trouble) == 1
