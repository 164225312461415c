"""The page on which two canvas photos are compared."""

from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.compare_two.page import ComparePage
from app.view import Look
from app.wall.acetate import Acetate
from app.wall.areas import NumberedAreas
from app.work import Worker
from tests.app.window_case import CORNERS, SIZE, Easel, canvas_shot, drop, make_easel, make_painting
from tests.studio import references
from tests.studio.camera import Camera, photograph
from tests.studio.displacement import Displacement
from tests.studio.painter import ValueFault, paint

CHANGE = ValueFault(140, 100, 25, 20, 1.2)


@pytest.fixture(scope="module")
def repainted() -> bytes:
    """What ``canvas_shot`` shows, but a passage that it had too dark is right and another is lighter."""
    encoded = references.pixels("chelsea", SIZE, width=800)
    drift = Displacement(SIZE, shift_mm=(2.0, 0.0))
    painted = paint(references.linear(encoded), drift, faults=(CHANGE,), brushwork="texture", px_per_mm=4.0)
    return photograph(painted, Camera(CORNERS, width=1200, height=900, exposure=0.7)).jpeg()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, repainted: bytes) -> Easel:
    """Two photos on the ledge, both laid flat."""
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    later = tmp_path / "later.jpg"
    later.write_bytes(repainted)
    drop(made.desk.ledge, [canvas_shot(tmp_path, "earlier.jpg")[0], later])
    for card in made.desk.ledge.cards:
        made.desk.studio.painting.set_corners(card.photo.id, CORNERS)
    return made


def begin(easel: Easel) -> ComparePage:
    """The page over the work, comparing the last photo with the first."""
    placing, ledge = easel.desk.placing, easel.desk.ledge
    page = ComparePage(easel.desk.studio, placing)
    placing.addWidget(page)
    page.left.connect(partial(placing.setCurrentWidget, easel.desk.work))
    assert page.begin(ledge.cards[-1].photo.id, ledge.cards[0].photo.id) == ""
    placing.setCurrentWidget(page)
    return page


def test_the_two_hang_side_by_side_with_what_changed(easel: Easel, qtbot: QtBot) -> None:
    page = begin(easel)
    titles = [hanging.title.partition(" · ")[0] for hanging in page.wall.hangings]
    assert titles == ["earlier.jpg", "later.jpg", "What changed"]
    assert all(hanging.mapping.is_flat for hanging in page.wall.hangings)
    assert len(page.lines.lines) == 2
    said = " ".join(line.say for line in page.lines.lines)
    assert "lighter" in said
    assert "darker" not in said
    legend = page.wall.hangings[2].legend
    assert legend is not None
    assert "darker (−) or lighter (+)" in legend.title
    page.lines.choose(0)
    assert not page.wall.is_fitted
    assert [type(each) for each in page.wall.hangings[0].overlays] == [NumberedAreas]
    page.focus_wall()
    left = page.wall.sheets[0]
    before, focused = left.hanging, easel.window.focusWidget()
    qtbot.keyPress(focused, Qt.Key.Key_B)
    assert left.hanging is not before
    qtbot.keyRelease(focused, Qt.Key.Key_B)
    assert left.hanging is before
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert not easel.desk.placing.is_away


def test_looks_are_of_both_and_the_difference_can_be_taken_down(easel: Easel) -> None:
    page = begin(easel)
    page.change.click()
    assert len(page.wall.hangings) == 2
    assert not page.key.isVisible()
    colour = page.wall.hangings[0].picture
    for button, look in zip(page.looks[1:], (Look.GREY, Look.STEPS), strict=True):
        button.click()
        assert page.seen.look is look
        assert page.wall.hangings[0].picture is not colour
        colours = {page.wall.hangings[1].picture.image.pixelColor(x, 60).saturation() for x in range(20, 200, 20)}
        assert colours == {0}
    assert [made.isChecked() for made in page.looks] == [False, False, True]
    page.handlers()["steps"]()
    assert page.wall.hangings[0].picture is colour
    page.squint.click()
    page.acetate.click()
    assert page.wall.hangings[0].picture is not colour
    assert all(isinstance(hanging.overlays[0], Acetate) for hanging in page.wall.hangings)


def test_a_photo_without_corners_hangs_as_shot_and_asks_for_them(easel: Easel) -> None:
    first = easel.desk.ledge.cards[0].photo
    easel.desk.studio.painting.set_corners(first.id, None)
    page, wanted = begin(easel), list[int]()
    page.corners_wanted.connect(wanted.append)
    assert "corners of “earlier.jpg” are not placed" in page.says.text()
    assert "corners not placed" in page.wall.hangings[0].title
    assert not page.change.isEnabled()
    page.corners.click()
    assert wanted == [first.id]


def test_what_cannot_be_compared_is_said(easel: Easel) -> None:
    studio, (first, last) = easel.desk.studio, (card.photo for card in easel.desk.ledge.cards)
    studio.painting.set_is_blank(first.id, True)
    page = begin(easel)
    assert "blank canvas" in page.says.text()
    page.leave()
    studio.painting.set_is_blank(first.id, False)
    studio.painting.photo_file(first.photo.id).unlink()
    assert page.begin(first.id, last.id) == ""
    assert "is missing" in page.says.text()
    assert not page.corners.isVisible()
    assert "not on the ledge" in page.begin(first.id, 99)


def test_leaving_stops_the_work(easel: Easel, qtbot: QtBot, threaded_worker: Worker) -> None:
    easel.desk.studio.worker = threaded_worker
    easel.desk.studio.room._worker = threaded_worker
    page = begin(easel)
    assert "Looking for what changed" in page.says.text()
    page.leave()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())
    assert page.wall.hangings == ()
    assert page._found is None
