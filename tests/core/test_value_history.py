"""Values over the sittings, from the data of kept checks."""

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.value_history import Became, ValueHistory, value_history, value_sitting

Row = tuple[float, float, float, float]


def check(*areas: Row, share: float | None = 0.8) -> dict[str, Any]:
    """The part of a check.json (schema 1) that is read."""
    names = ("x_mm", "y_mm", "area_cm2", "steps")
    return {
        "schema": 1,
        "size_mm": [400, 300],
        "light": {"from": "blank", "uncertainty_steps": 0.1, "glare_share": 0.0},
        "value": {
            "areas": [dict(zip(names, area, strict=True)) for area in areas],
            "share_within_half_step": share,
        },
    }


def history(*checks: dict[str, Any]) -> ValueHistory:
    return value_history([value_sitting(n, 10 + n, data) for n, data in enumerate(checks, start=1)])


def test_one_passage_is_followed_until_it_is_mended() -> None:
    found = history(check((80, 220, 14, -1.2), share=0.7), check((84, 216, 12, -0.7), share=0.8), check(share=0.95))
    (course,) = found.courses
    assert [moment.became for moment in course.moments] == [Became.CAME, Became.BETTER, Became.MENDED]
    assert course.is_mended
    assert course.say == "lower left: 1.2 steps too dark in sitting 1, better in sitting 2 (0.7), mended in sitting 3"
    assert found.say == "Since the photo before: 1 mended; 95 % within half a step, before 80 %."


def test_worse_came_and_back() -> None:
    found = history(check((80, 220, 14, -0.8)), check((80, 220, 14, -1.4)), check(), check((82, 220, 14, -0.9)))
    (course,) = found.courses
    assert [m.became for m in course.moments] == [Became.CAME, Became.WORSE, Became.MENDED, Became.BACK]
    assert course.say.endswith("mended in sitting 3, came back in sitting 4 (0.9)")


def test_an_area_that_grows_is_worse_at_the_same_steps() -> None:
    found = history(check((80, 220, 10, -1.0)), check((80, 220, 20, -1.1)), check((80, 220, 10, -1.0)))
    assert [m.became for m in found.courses[0].moments] == [Became.CAME, Became.WORSE, Became.BETTER]


def test_the_other_sign_is_another_passage() -> None:
    found = history(check((80, 220, 14, -1.2)), check((80, 220, 14, 0.8)))
    assert [[m.became for m in c.moments] for c in found.courses] == [[Became.CAME], [Became.CAME, Became.MENDED]]


def test_far_apart_is_another_passage() -> None:
    found = history(check((80, 220, 14, -1.2)), check((200, 220, 14, -1.2)))
    assert len(found.courses) == 2


def test_the_nearest_is_taken_first() -> None:
    found = history(check((80, 220, 40, -1.0), (110, 220, 40, -1.0)), check((105, 220, 40, -1.0)))
    mended = [c for c in found.courses if c.is_mended]
    assert [c.last.x_mm for c in mended] == [80]


def test_the_table_says_what_was_off_and_which_way() -> None:
    row = value_sitting(2, 7, check((80, 220, 24, -1.0), (300, 50, 12, 0.5), share=0.84))
    assert row.dark_cm2 == 24
    assert row.light_cm2 == 12
    assert row.overall_steps == pytest.approx((-24 + 6) / 1200)
    assert row.say == "sitting 2: 84 % within half a step; 24 cm² too dark; 12 cm² too light"
    assert value_sitting(1, 1, check(share=None)).say == "sitting 1: nothing could be judged"


def test_nothing_and_one_are_answered() -> None:
    assert value_history([]).courses == ()
    assert value_history([]).say == ""
    assert history(check((80, 220, 14, -1.2))).say == ""
    assert history(check(), check()).say == (
        "Since the photo before: no passage changed; 80 % within half a step, before 80 %."
    )


areas = st.lists(
    st.tuples(
        st.floats(5, 395), st.floats(5, 295), st.floats(4, 120),
        st.floats(0.5, 3).flatmap(lambda size: st.sampled_from([size, -size])),
    ),
    max_size=6,
)  # fmt: skip


@given(st.lists(areas, min_size=1, max_size=4))
def test_every_area_is_in_one_course_and_every_course_begins_by_coming(rows: list[list[Row]]) -> None:
    found = history(*(check(*row) for row in rows))
    seen = [(m.canvas_photo, m.area) for course in found.courses for m in course.moments if m.area is not None]
    there = [(row.canvas_photo, area) for row in found.sittings for area in row.areas]
    assert sorted(map(repr, seen)) == sorted(map(repr, there))
    for course in found.courses:
        kinds = [moment.became for moment in course.moments]
        assert kinds[0] is Became.CAME
        assert Became.CAME not in kinds[1:]
        assert all((m.area is None) == (m.became is Became.MENDED) for m in course.moments)
        assert all(before is Became.MENDED for before, now in pairwise(kinds) if now is Became.BACK)
        assert len({m.canvas_photo for m in course.moments}) == len(course.moments)
        assert len({m.area.steps > 0 for m in course.moments if m.area is not None}) == 1
        assert course.say.count("sitting") == len(course.moments)


@given(areas)
def test_the_same_again_is_as_it_was(row: list[Row]) -> None:
    """Whatever order the areas are listed in. Areas at one place cannot be told apart, and are left out."""
    row = list({(round(x), round(y), s > 0): (x, y, a, s) for x, y, a, s in row}.values())
    found = history(check(*row), check(*reversed(row)))
    assert all([m.became for m in c.moments] == [Became.CAME, Became.SAME] for c in found.courses)
    assert len(found.courses) == len(row)


@given(areas, areas)
def test_there_and_back_swap_better_and_worse(one: list[Row], other: list[Row]) -> None:
    forth, back = history(check(*one), check(*other)), history(check(*other), check(*one))

    def count(found: ValueHistory, kind: Became) -> int:
        return sum(m.became is kind for c in found.courses for m in c.moments if m.canvas_photo == 12)

    assert count(forth, Became.SAME) + count(forth, Became.BETTER) + count(forth, Became.WORSE) == sum(
        count(back, kind) for kind in (Became.SAME, Became.BETTER, Became.WORSE)
    )
    assert count(forth, Became.MENDED) == count(back, Became.CAME)
