"""Undo and redo go back to exactly what was, as far as one likes, after closing and opening too."""

import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
from core.store.faults import DamagedError
from tests.core.painting_support import CORNERS, everything, make_painting, state, write_photo

Operation = Callable[[Painting, random.Random], object]
NAMES = ["spout", "quince “in front”", "rim é☃"]


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        yield painting


def _any(painting: Painting, chance: random.Random) -> int:
    return chance.choice(painting.canvas_photos(with_removed=True)).id


def _corners(chance: random.Random) -> list[list[float]] | None:
    return None if chance.random() < 0.2 else [[chance.uniform(-10, 5000), chance.gauss(0, 1)] for _ in range(4)]


def _take_a_hand_away(painting: Painting, chance: random.Random) -> None:
    photo = _any(painting, chance)
    for placed in painting.landmarks_by_hand(photo)[:1]:
        painting.remove_landmark_by_hand(photo, placed.name)


def _several(painting: Painting, chance: random.Random) -> None:
    with painting.step("several"):
        for _ in range(chance.randrange(5)):
            chance.choice(OPERATIONS)(painting, chance)


OPERATIONS: tuple[Operation, ...] = (
    lambda p, c: p.set_title(f"title {c.randrange(5)}"),
    lambda p, c: p.set_size(Size(c.uniform(100, 900), 300)),
    lambda p, c: p.set_steps(c.randint(2, 10)),
    lambda p, c: p.set_reference(c.choice(p.photos()).id, crop=_corners(c)),
    lambda p, c: p.set_reference_crop(_corners(c)),
    lambda p, c: p.add_canvas_photo(c.choice(p.photos()).id, sitting=c.randint(1, 4), is_blank=c.random() < 0.3),
    lambda p, c: p.set_corners(_any(p, c), _corners(c), found_by="tabs", lens_k1=c.gauss(0, 0.1)),
    lambda p, c: p.rename_canvas_photo(_any(p, c), "quinces “at dusk” é☃"),
    lambda p, c: p.set_note(_any(p, c), "linen " * c.randrange(4)),
    lambda p, c: p.set_sitting(_any(p, c), c.randint(1, 4)),
    lambda p, c: p.set_is_blank(_any(p, c), c.random() < 0.5),
    lambda p, c: p.use_blank(_any(p, c), c.choice([b.id for b in p.canvas_photos() if b.is_blank] + [None])),
    lambda p, c: p.reorder(c.sample([photo.id for photo in p.canvas_photos()], len(p.canvas_photos()))),
    lambda p, c: p.remove_canvas_photo(_any(p, c)),
    lambda p, c: p.restore_canvas_photo(_any(p, c)),
    lambda p, c: p.set_drawing(f"<svg>{'<path/>' * c.randrange(60)}<g/>{'<circle/>' * c.randrange(60)}</svg>"),
    lambda p, c: p.set_plan(c.choice(["focal points", "edge plan", "palette"]), [c.random(), None, {"é": "x"}]),
    lambda p, c: p.use_drawing(c.choice(p.drawing_versions()).id),
    lambda p, c: p.place_landmark_by_hand(
        _any(p, c), c.choice(NAMES), c.gauss(0, 900), c.gauss(0, 900), photo_width=4032, photo_height=3024
    ),
    _take_a_hand_away,
)  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_two_hundred_random_changes_come_back_exactly(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    folder = make_painting(tmp_path)
    painting = Painting.open(folder)
    states, place, before = [state(painting)], 0, _steps_made(painting)
    for _ in range(200):
        roll = chance.random()
        if roll < 0.6:
            (chance.choice(OPERATIONS) if chance.random() < 0.9 else _several)(painting, chance)
            if state(painting) != states[place]:
                states = [*states[: place + 1], state(painting)]
                place += 1
        elif roll < 0.8 and place > 0:
            assert painting.undo() is not None
            place -= 1
        elif roll < 0.95:
            was_last = place == len(states) - 1
            assert (painting.redo() is None) is was_last
            place += not was_last
        else:
            painting.close()
            painting = Painting.open(folder)
        assert state(painting) == states[place]
        assert _steps_made(painting) - before == place
    assert len(states) > 40
    for wanted in reversed(states[:place]):
        painting.undo()
        assert state(painting) == wanted
    painting.close()
    with Painting.open(folder) as painting:
        for wanted in states[1:]:
            assert painting.redo() is not None
            assert state(painting) == wanted
        assert painting.redo() is None
        assert painting.verify() == ()


def _steps_made(painting: Painting) -> int:
    return int(painting._connection.execute("SELECT count(*) FROM step WHERE undone = 0").fetchone()[0])


def test_labels_say_what_will_be_undone(painting: Painting) -> None:
    assert (painting.can_undo, painting.can_redo) == (None, None)
    assert painting.undo() is None
    assert painting.redo() is None
    added = painting.add_canvas_photo(1)
    painting.set_corners(added.id, CORNERS)
    assert painting.can_undo == "placed the corners"
    assert painting.undo() == "placed the corners"
    assert (painting.can_undo, painting.can_redo) == ("added a canvas photo", "placed the corners")
    painting.close()
    with Painting.open(painting.folder) as again:
        assert (again.can_undo, again.can_redo) == ("added a canvas photo", "placed the corners")
        again.set_title("Quinces")
        assert (again.can_undo, again.can_redo) == ("renamed the painting", None)


def test_what_changes_nothing_is_no_step(painting: Painting) -> None:
    painting.set_title("Quinces")
    painting.undo()
    painting.set_title("Jug")
    painting.set_steps(painting.steps)
    painting.set_reference_crop(None)
    with painting.step("nothing"):
        pass
    assert painting.can_redo == "renamed the painting"


def test_view_state_and_checks_are_not_undone(painting: Painting) -> None:
    added = painting.add_canvas_photo(1)
    painting.set_setting("squint", 2)
    painting.set_check_result(added.id, "{}")
    assert painting.can_undo == "added a canvas photo"
    painting.undo()
    assert painting.setting("squint") == 2
    painting.set_setting("squint", 3)
    assert painting.can_redo == "added a canvas photo"
    painting.redo()
    result = painting.check_result(added.id)
    assert result is not None
    assert result.is_current


def test_a_number_once_given_is_never_given_again(painting: Painting) -> None:
    first = painting.add_canvas_photo(1)
    painting.set_check_result(first.id, "{}")
    painting.undo()
    second = painting.add_canvas_photo(1)
    assert second.id != first.id
    assert painting.check_result(second.id) is None


def test_a_step_of_several_changes_is_one_and_all_or_nothing(painting: Painting) -> None:
    before = everything(painting)

    def broken_off() -> None:
        with painting.step("set up"):
            painting.set_title("dropped")
            painting.add_canvas_photo(1)
            painting.set_setting("squint", 9)
            painting.set_drawing("<svg/>")
            painting.set_steps(99)

    with pytest.raises(PaintingError, match="value steps"):
        broken_off()
    assert everything(painting) == before
    with painting.step("set up"):
        added = painting.add_canvas_photo(1)
        painting.set_corners(added.id, CORNERS)
        with pytest.raises(PaintingError, match="value steps"):
            broken_off()
        painting.set_title("Quinces")
        with pytest.raises(PaintingError, match="Finish the change in hand"):
            painting.undo()
    assert painting.title == "Quinces"
    assert painting.can_undo == "set up"
    painting.undo()
    assert state(painting) == {key: before[key] for key in state(painting)}
    assert painting.can_undo is None


@pytest.mark.parametrize(
    "spoiled",
    [
        ("part", "sqlite_master"),
        ("part", "photo"),
        ("before", '{"title = 1; --": 1}'),
        ("before", "[1]"),
        ("before", "{"),
        ("row_key", "7"),
    ],
)
def test_a_spoiled_record_is_refused_and_changes_nothing(painting: Painting, spoiled: tuple[str, Any]) -> None:
    painting.set_title("Quinces")
    painting._connection.execute(f"UPDATE step_change SET {spoiled[0]} = ?", (spoiled[1],))
    with pytest.raises(DamagedError, match="cannot be undone"):
        painting.undo()
    assert painting.title == "Quinces"
    assert painting.can_undo == "renamed the painting"
