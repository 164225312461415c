"""The start page, the page of a new painting, and what the machine remembers."""

import json
import logging
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.crop import Crop
from app.crop_view import CropView
from app.machine import MOST_RECENT, Machine
from app.new_painting import NewPainting
from app.picture import Picture
from app.size_fields import SizeFields
from app.window import MainWindow, run
from app.work import Worker
from core.errors import PainterError
from core.painting import Painting
from core.size import MM_PER_INCH, Size
from tests.app.window_case import Easel, drop, make_easel, make_painting, reference_photo


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return make_easel(qtbot, worker, tmp_path)


@pytest.fixture
def new_page(easel: Easel, tmp_path: Path) -> Easel:
    easel.window.begin_painting(reference_photo(tmp_path))
    return easel


# The crop: numbers.


@pytest.mark.parametrize("aspect", [0.5, 0.75, 1.0, 4 / 3, 3.0])
def test_largest_crop_touches_two_edges_and_keeps_the_shape(aspect: float) -> None:
    crop = Crop.largest(4000, 3000, aspect)
    assert crop.width / crop.height == pytest.approx(aspect)
    assert crop.width == pytest.approx(4000) or crop.height == pytest.approx(3000)
    assert (crop.left + crop.width / 2, crop.top + crop.height / 2) == (pytest.approx(2000), pytest.approx(1500))


def test_corners_of_the_whole_photo_lie_half_a_pixel_outside_the_outer_pixel_centres() -> None:
    assert Crop.largest(400, 300, 4 / 3).corners == ((-0.5, -0.5), (399.5, -0.5), (399.5, 299.5), (-0.5, 299.5))


@pytest.mark.parametrize("corner", range(4))
def test_dragging_a_corner_keeps_the_opposite_one_and_the_shape(corner: int) -> None:
    crop = Crop.largest(4000, 3000, 1.0).scaled(0.5)
    opposite = crop.corners[(corner + 2) % 4]
    x, y = crop.corners[corner]
    towards = (x + 0.2 * (opposite[0] - x), y + 0.2 * (opposite[1] - y))
    smaller = crop.corner_moved(corner, *towards)
    assert smaller.corners[(corner + 2) % 4] == pytest.approx(opposite)
    assert smaller.width == pytest.approx(0.8 * crop.width, rel=0.01)
    assert smaller.width / smaller.height == pytest.approx(1.0)


@pytest.mark.parametrize("to", [(-900.0, -900.0), (9000.0, 9000.0), (2000.0, 1500.0)])
def test_a_crop_never_leaves_the_photo_nor_vanishes(to: tuple[float, float]) -> None:
    crop = Crop.largest(4000, 3000, 4 / 3).scaled(0.6)
    for corner in range(4):
        moved = crop.corner_moved(corner, *to)
        (left, top), _, (right, bottom), _ = moved.corners
        assert left >= -0.501
        assert top >= -0.501
        assert right <= 3999.501
        assert bottom <= 2999.501
        assert moved.width >= 0.099 * crop.widest
    far = crop.moved(*to)
    assert 0 <= far.left <= 4000 - far.width


def test_another_canvas_keeps_the_middle_of_the_crop() -> None:
    crop = Crop.largest(4000, 3000, 4 / 3).scaled(0.4).moved(300, -200)
    middle = crop.left + crop.width / 2, crop.top + crop.height / 2
    turned = crop.with_aspect(3 / 4)
    assert (turned.left + turned.width / 2, turned.top + turned.height / 2) == pytest.approx(middle)
    assert turned.width * turned.height == pytest.approx(crop.width * crop.height)


# The crop: by hand.


@pytest.fixture
def crop_view(qtbot: QtBot) -> CropView:
    from PySide6.QtGui import QColor, QImage

    image = QImage(400, 300, QImage.Format.Format_RGB32)
    image.fill(QColor(120, 110, 100))
    view = CropView()
    qtbot.addWidget(view)
    view.resize(832, 632)
    view.show()
    view.show_photo(Picture.from_qimage(image), Crop.largest(4000, 3000, 1.0).scaled(0.5))
    return view


def test_frame_is_dragged_with_the_mouse(crop_view: CropView, qtbot: QtBot) -> None:
    from PySide6.QtCore import QPoint, Qt

    before = crop_view.crop
    assert before is not None
    qtbot.mousePress(crop_view, Qt.MouseButton.LeftButton, pos=QPoint(416, 316))
    qtbot.mouseMove(crop_view, QPoint(436, 306))
    qtbot.mouseRelease(crop_view, Qt.MouseButton.LeftButton, pos=QPoint(436, 306))
    after = crop_view.crop
    assert after is not None
    # 800 screen pixels show 4000 photo pixels: 5 to 1.
    assert (after.left - before.left, after.top - before.top) == (pytest.approx(100), pytest.approx(-50))


def test_frame_is_moved_and_sized_with_the_keyboard(crop_view: CropView, qtbot: QtBot) -> None:
    from PySide6.QtCore import Qt

    before = crop_view.crop
    assert before is not None
    qtbot.keyClick(crop_view, Qt.Key.Key_Right)
    assert crop_view.crop is not None
    assert crop_view.crop.left > before.left
    qtbot.keyClick(crop_view, Qt.Key.Key_Plus)
    assert crop_view.crop.width > before.width
    qtbot.keyClick(crop_view, Qt.Key.Key_0)
    assert crop_view.crop == Crop.largest(4000, 3000, 1.0)


# The size.


def test_size_is_kept_in_mm_whatever_the_unit(qtbot: QtBot) -> None:
    fields = SizeFields()
    qtbot.addWidget(fields)
    fields.show_size(Size(16 * MM_PER_INCH, 20 * MM_PER_INCH))
    for unit in ("in", "cm", "mm", "in"):
        fields.set_unit(unit)
    assert fields.size_mm() == Size(16 * MM_PER_INCH, 20 * MM_PER_INCH)
    assert (fields.width_field.text(), fields.height_field.text()) == ("16", "20")


def test_size_takes_a_decimal_comma(qtbot: QtBot) -> None:
    fields = SizeFields()
    qtbot.addWidget(fields)
    fields.width_field.clear()
    qtbot.keyClicks(fields.width_field, "40,5")
    assert fields.size_mm().width_mm == pytest.approx(405)


@pytest.mark.parametrize("typed", ["", "wide", "-3", "0", "9999"])
def test_what_is_no_size_is_said(qtbot: QtBot, typed: str) -> None:
    fields = SizeFields()
    qtbot.addWidget(fields)
    fields.width_field.clear()
    fields.width_field.textEdited.emit("")
    qtbot.keyClicks(fields.width_field, typed)
    with pytest.raises(PainterError):
        fields.size_mm()


# The page of a new painting.


def test_usual_size_upright_for_an_upright_photo(easel: Easel, tmp_path: Path) -> None:
    easel.window.begin_painting(reference_photo(tmp_path, width=300, height=400))
    page = easel.window.new_page
    assert page is not None
    assert page.upright.isChecked()
    page.stretcher.setCurrentText("16 × 20 in")
    page.stretcher.activated.emit(page.stretcher.currentIndex())
    assert page.canvas.size_mm() == Size(16 * MM_PER_INCH, 20 * MM_PER_INCH)
    page.lying.click()
    assert page.canvas.size_mm() == Size(20 * MM_PER_INCH, 16 * MM_PER_INCH)
    assert page.crop_view.crop is not None
    assert page.crop_view.crop.aspect == pytest.approx(20 / 16)
    assert page.stretcher.currentText() == "16 × 20 in"


def test_own_size_is_named_so(new_page: Easel) -> None:
    page = new_page.window.new_page
    assert page is not None
    page.canvas.width_field.setText("41.3")
    page.canvas.width_field.textEdited.emit("41.3")
    assert page.stretcher.currentText() == "Own size"


def test_fineness_of_the_crop_is_told_in_words(new_page: Easel) -> None:
    page = new_page.window.new_page
    assert page is not None
    # The photo has 800 pixels for 400 mm.
    assert "2.0 pixels to each mm" in page.crop_says.text()
    assert "coarse" in page.crop_says.text()


def test_missing_title_is_asked_for(new_page: Easel) -> None:
    page = new_page.window.new_page
    assert page is not None
    made: list[NewPainting] = []
    page.made.connect(made.append)
    page.title.clear()
    page.make.click()
    assert new_page.said == "Give the painting a title."
    assert made == []


def test_folder_never_takes_the_place_of_another(new_page: Easel, tmp_path: Path) -> None:
    page = new_page.window.new_page
    assert page is not None
    (tmp_path / "Quinces").mkdir()
    page.choose_folder(tmp_path)
    page.title.setText("Quinces")
    assert Path(page.folder.text()) == tmp_path / "Quinces 2"


def test_a_title_that_is_no_folder_name_still_finds_one(new_page: Easel, tmp_path: Path) -> None:
    page = new_page.window.new_page
    assert page is not None
    page.choose_folder(tmp_path)
    page.title.setText('Jug: "half/empty"?')
    assert Path(page.folder.text()).parent == tmp_path


def test_a_folder_that_is_taken_is_refused_and_the_page_stays(new_page: Easel, tmp_path: Path) -> None:
    page = new_page.window.new_page
    assert page is not None
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("keep me")
    page.folder.setText(str(tmp_path / "full"))
    page.make.click()
    assert new_page.said
    assert new_page.window.pages.currentWidget() is page
    assert (tmp_path / "full" / "letter.txt").read_text() == "keep me"


def test_back_leads_to_the_start(new_page: Easel) -> None:
    new_page.press("close")
    assert new_page.window.pages.currentWidget() is new_page.window.start


# The start page.


def test_a_photo_dropped_begins_a_painting(easel: Easel, tmp_path: Path) -> None:
    drop(easel.window.start, [reference_photo(tmp_path)])
    assert easel.window.pages.currentWidget() is easel.window.new_page


def test_a_painting_dropped_is_opened(easel: Easel, tmp_path: Path) -> None:
    drop(easel.window.start, [make_painting(tmp_path)])
    assert easel.desk.studio.painting.title == "Cat"


def test_several_things_dropped_are_a_choice(easel: Easel, tmp_path: Path) -> None:
    photo = reference_photo(tmp_path)
    drop(easel.window.start, [photo, photo])
    assert "one photograph" in easel.said


def test_recent_paintings_are_listed_with_their_picture(easel: Easel, tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    easel.window.open_painting(folder)
    easel.press("close")
    listed = easel.window.start._list
    assert listed.count() == 1
    assert listed.item(0).text().startswith("Cat\n20 × 15 cm")
    assert not listed.item(0).icon().isNull()
    listed.itemActivated.emit(listed.item(0))
    assert easel.desk.studio.painting.folder == folder


def test_a_painting_that_was_moved_away_is_said_and_can_be_forgotten(easel: Easel, tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    easel.window.open_painting(folder)
    easel.press("close")
    folder.rename(tmp_path / "elsewhere")
    easel.window.show_start()
    listed = easel.window.start._list
    assert "not found" in listed.item(0).text()
    listed.itemActivated.emit(listed.item(0))
    assert easel.said
    easel.window.start._forget()
    assert listed.count() == 0
    assert (tmp_path / "elsewhere").is_dir()


def test_demo_painting_is_made_once_and_then_opened(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Path] = []

    def make(folder: Path) -> Painting:
        made.append(folder)
        return Painting.create(folder, "Enamel jug", Size(400, 300), reference_photo(easel.folder))

    monkeypatch.setattr("core.demo.make_demo_painting", make)
    for _ in range(2):
        easel.window.start.demo_button.click()
        assert easel.desk.studio.painting.title == "Enamel jug"
        easel.press("close")
    assert len(made) == 1
    assert not made[0].exists()


# The whole program.


def test_run_opens_what_is_named_and_gives_the_exit_code(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seen: list[str] = []

    def used_for_a_moment(_app: object) -> int:
        (window,) = [w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow) and w.isVisible()]
        seen.append(window.windowTitle())
        sys.excepthook(ValueError, ValueError("unforeseen"), None)
        seen.append(window.strip.sentence)
        window.close()
        window.deleteLater()
        return 7

    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _place: str(tmp_path / "settings"))
    monkeypatch.setattr(QApplication, "exec", used_for_a_moment)
    before = sys.excepthook
    handlers = list(logging.getLogger("easelside").handlers)
    try:
        assert run([str(make_painting(tmp_path))]) == 7
    finally:
        for handler in set(logging.getLogger("easelside").handlers) - set(handlers):
            logging.getLogger("easelside").removeHandler(handler)
            handler.close()
    assert sys.excepthook is before
    assert seen[0].startswith("Cat – 20 × 15 cm")
    assert "What was saved is safe" in seen[1]
    assert "unforeseen" in (tmp_path / "settings" / "easelside.log").read_text()


# What the machine remembers.


def test_machine_remembers_the_latest_first_and_not_too_many(tmp_path: Path) -> None:
    machine = Machine(tmp_path)
    for number in range(MOST_RECENT + 3):
        machine.opened(tmp_path / str(number), f"P{number}", "40 × 30 cm")
    machine.opened(tmp_path / "5", "P5", "40 × 30 cm")
    again = Machine(tmp_path).kept.recent
    assert len(again) == MOST_RECENT
    assert [each.title for each in again[:2]] == ["P5", f"P{MOST_RECENT + 2}"]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"recent": 3}', json.dumps({"recent": [], "geometry": 4})])
def test_a_broken_memory_is_a_first_day(tmp_path: Path, text: str) -> None:
    (tmp_path / "window.json").write_text(text)
    assert Machine(tmp_path).kept.recent == ()


def test_a_memory_that_cannot_be_written_is_put_up_with(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    machine = Machine(tmp_path / "file" / "below")
    machine.keep(unit="in")
    assert machine.kept.unit == "in"
