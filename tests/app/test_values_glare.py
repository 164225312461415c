"""Photos with the lamp moved in the window: chosen, kept, undone, and what a check makes of them."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.values.glare_fold import GlareFold
from app.work import Worker
from core.painting import Painting
from tests.app.window_case import Easel, drop, make_easel, make_painting
from tests.core.glare_case import FIRST, HERE, SECOND, THERE, jpeg


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """A painting with two photos of the canvas, the lamp moved in between; the first hangs, the fold is open."""
    for name, photo in (("right.jpg", jpeg(FIRST)), ("left.jpg", jpeg(SECOND, THERE))):
        (tmp_path / name).write_bytes(photo)
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    drop(made.desk.ledge, [tmp_path / "right.jpg", tmp_path / "left.jpg"])
    for photo, corners in zip(made.desk.studio.canvas_photos, (HERE, THERE), strict=True):
        made.desk.studio.painting.set_corners(photo.id, corners)
    made.desk.studio.hang_canvas_photo(ids(made)[0])
    fold(made).open()
    return made


def ids(easel: Easel) -> list[int]:
    return [photo.id for photo in easel.desk.studio.canvas_photos]


def fold(easel: Easel) -> GlareFold:
    found: GlareFold = easel.desk.side.value.glare
    return found


def chosen(easel: Easel) -> list[int]:
    return [photo.id for photo in easel.desk.studio.painting.lamp_moved(ids(easel)[0])]


def offered(easel: Easel) -> dict[str, bool]:
    return {box.accessibleName(): box.isChecked() for box in fold(easel).boxes}


def test_a_choice_is_kept_undone_and_part_of_the_order(easel: Easel) -> None:
    first, second = ids(easel)
    assert offered(easel) == {"left.jpg": False}
    fold(easel).boxes[0].click()
    assert chosen(easel) == [second]
    assert fold(easel).says.text() == "The next check takes the glare out by 1 photo."
    (moved,) = easel.desk.studio.checker.order(first).lamp_moved
    assert (moved.corners, moved.name) == (THERE, "left.jpg")
    assert moved.file.read_bytes() == jpeg(SECOND, THERE)
    easel.press("undo")
    assert (chosen(easel), offered(easel)) == ([], {"left.jpg": False})
    assert "Undone: chose photos with the lamp moved." in easel.said
    assert easel.desk.studio.checker.order(first).lamp_moved == ()
    easel.press("redo")
    assert (chosen(easel), offered(easel)) == ([second], {"left.jpg": True})


def test_a_choice_is_there_again_and_for_its_photo_alone(easel: Easel) -> None:
    first, second = ids(easel)
    fold(easel).boxes[0].click()
    easel.desk.studio.hang_canvas_photo(second)
    assert offered(easel) == {"right.jpg": False}
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as again:
        assert [[photo.id for photo in again.lamp_moved(each)] for each in (first, second)] == [[second], []]


def test_a_check_says_what_came_of_it_and_goes_out_of_date_with_the_choice(easel: Easel) -> None:
    fold(easel).boxes[0].click()
    easel.press("check")
    findings = easel.desk.studio.checked.findings
    (line,) = (line for line in findings.certainty if line.startswith("Glare:"))
    assert line.startswith("Glare: taken out by 1 photo with the lamp moved; ")
    assert fold(easel).says.text() == line
    assert findings.is_current
    easel.press("undo")
    assert not easel.desk.studio.checked.findings.is_current
    assert "something it was made from has changed" in easel.desk.side.check_bar.state.text()
    assert fold(easel).says.isHidden()
    easel.press("redo")
    assert easel.desk.studio.checked.findings.is_current
    assert fold(easel).says.text() == line


def test_a_check_overtaken_by_another_choice_is_not_kept(easel: Easel) -> None:
    checker, said = easel.desk.studio.checker, []
    order = checker.order(ids(easel)[0])
    checker.outdated.connect(said.append)
    fold(easel).boxes[0].click()
    checker._keep(order, "{}")
    assert said == [ids(easel)[0]]
    assert easel.desk.studio.painting.check_result(ids(easel)[0]) is None


def test_without_another_photo_it_says_what_to_do(easel: Easel) -> None:
    painting, (first, second) = easel.desk.studio.painting, ids(easel)
    assert not fold(easel).add.isVisibleTo(fold(easel))
    painting.set_corners(second, None)
    assert fold(easel).boxes == []
    assert "Photograph the canvas again from the same spot with the lamp moved" in fold(easel).asks.text()
    assert fold(easel).more.text() == "1 photo on the ledge cannot be chosen before the corners are placed."
    assert fold(easel).add.isVisibleTo(fold(easel))
    painting.remove_canvas_photo(second)
    assert fold(easel).more.isHidden()
    painting.set_is_blank(first, True)
    assert "A photo of the blank canvas hangs" in fold(easel).asks.text()
    painting.remove_canvas_photo(first)
    assert fold(easel).asks.text() == "Bring in a photo of the canvas first."


def test_other_sittings_come_last_and_say_so(easel: Easel, tmp_path: Path) -> None:
    painting, (first, second) = easel.desk.studio.painting, ids(easel)
    third = painting.add_canvas_photo(painting.canvas_photo(second).photo.id, name="early & late.jpg")
    painting.set_corners(third.id, THERE)
    painting.set_sitting(first, 2)
    painting.set_sitting(third.id, 2)
    assert list(offered(easel)) == ["early & late.jpg", "left.jpg · sitting 1"]
    fold(easel).boxes[1].click()
    assert [photo.id for photo in painting.lamp_moved(first)] == [second]


def test_a_long_name_is_shortened_and_told_whole_at_the_pointer(easel: Easel, qtbot: QtBot) -> None:
    name = "IMG_20260314_174512 the easel by the window with the lamp on its left side.jpg"
    easel.desk.studio.painting.rename_canvas_photo(ids(easel)[1], name)
    (box,) = fold(easel).boxes
    qtbot.waitUntil(lambda: "…" in box.text())
    assert box.toolTip() == box.accessibleName() == name


def test_a_painting_open_only_to_look_offers_no_choice(easel: Easel) -> None:
    fold(easel).boxes[0].click()
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    easel.desk.studio.hang_canvas_photo(ids(easel)[0])
    fold(easel).open()
    assert offered(easel) == {"left.jpg": True}
    assert not fold(easel).boxes[0].isEnabled()
