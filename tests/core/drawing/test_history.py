"""Drift over the sittings as a table and in words."""

from core.drawing.history import Seen, Sitting, courses


def sitting(number: int, photo: int, **drift: tuple[float, float] | None) -> Sitting:
    return Sitting(
        number,
        photo,
        tuple(
            Seen(name.replace("_", " "), None, None, None) if by is None else Seen(name.replace("_", " "), *by, 0.2)
            for name, by in drift.items()
        ),
    )


def test_the_course_is_said_with_the_direction_once() -> None:
    found = courses(
        [sitting(1, 1, right_eye=(-3.1, 0.1)), sitting(2, 2, right_eye=None), sitting(3, 3, right_eye=(-0.8, 0.0))]
    )
    assert found["right eye"].say == "right eye: 3.1 mm too far left in sitting 1, 0.8 mm in sitting 3"


def test_another_direction_is_said_again() -> None:
    found = courses([sitting(1, 1, eye=(-3.1, 0.0)), sitting(2, 2, eye=(0.0, -1.2)), sitting(3, 3, eye=(0.1, 0.1))])
    say = "eye: 3.1 mm too far left in sitting 1, 1.2 mm too high in sitting 2, in place in sitting 3"
    assert found["eye"].say == say


def test_two_ways_at_once_keep_both_their_lengths() -> None:
    found = courses([sitting(1, 1, eye=(2.0, 1.0)), sitting(2, 2, eye=(1.0, 0.5))])
    assert found["eye"].say == (
        "eye: 2.0 mm too far right and 1.0 mm too low in sitting 1, "
        "1.0 mm too far right and 0.5 mm too low in sitting 2"
    )


def test_photos_of_one_sitting_are_counted() -> None:
    found = courses([sitting(1, 4, eye=(2.0, 0.0)), sitting(2, 5, eye=(1.0, 0.0)), sitting(2, 6, eye=(0.5, 0.0))])
    assert found["eye"].say == (
        "eye: 2.0 mm too far right in sitting 1, 1.0 mm in sitting 2, photo 1, 0.5 mm in sitting 2, photo 2"
    )


def test_a_sitting_that_does_not_know_the_landmark_is_a_gap() -> None:
    found = courses([sitting(1, 1, eye=(2.0, 0.0)), sitting(2, 2, eye=(1.0, 0.0), chin=(0.0, 3.0))])
    assert [moment.drift_mm for moment in found["chin"].moments] == [None, (0.0, 3.0)]
    assert [moment.sitting for moment in found["chin"].told] == [2]


def test_what_was_never_told_has_its_gaps_and_no_words() -> None:
    found = courses([sitting(1, 1, eye=None)])
    assert found["eye"].told == ()
    assert found["eye"].say == ""
