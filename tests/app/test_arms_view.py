"""Arm's length as a painter uses it: opened, stepped through with keys, pedals and fingers, looked at, closed."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from app import look
from app.arms.arms import ArmsLength
from app.arms.awake import NOT_KEPT
from app.arms.keys import DOINGS, Keys, shown_key
from app.arms.laid_out import places
from app.arms.showing import ENDS, NO_DRAWING, Source
from app.arms.surround import GROUNDS, INKS, SURROUNDS
from app.arms.type import SENTENCE_PT, dots_per_inch, font, height_of
from app.arms.window import ArmsWindow
from app.arms.words import whole_figures
from app.findings import stored
from app.hangings import difference_legend
from app.machine import Machine
from app.studio import Studio
from app.view import Look, Question
from app.wall.wall_view import WallView
from app.work import Worker
from core.painting import Painting
from tests.app.test_questions import CHECK, PASSAGE, SURE
from tests.app.window_case import CORNERS, canvas_shot, make_painting

from .wall_support import image_codes

Key = Qt.Key
LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


class CountedAwake:
    """Counts how often it is held and let go. ``kept``: what it says."""

    def __init__(self, *, kept: bool = True) -> None:
        self.kept, self.held = kept, 0

    def hold(self) -> bool:
        self.held += 1
        return self.kept

    def release(self) -> None:
        self.held = 0


@dataclass
class Bench:
    """An open painting with nothing before it but arm's length."""

    host: QWidget
    studio: Studio
    machine: Machine
    asked: list[str] = field(default_factory=list)
    opened: list[ArmsLength] = field(default_factory=list)

    def open(self, size: tuple[int, int] = (1366, 768), **options: Any) -> ArmsLength:
        """Open it, on a screen of a known size."""
        options = {"awake": CountedAwake()} | options
        arms = ArmsLength(self.studio, lambda: self.asked.append("check"), self.host, **options)
        arms.machine = self.machine
        self.opened.append(arms)
        arms.open()
        window = shown(arms)
        window.showNormal()
        window.setGeometry(0, 0, *size)
        QApplication.processEvents()
        return arms

    def close(self) -> None:
        for arms in self.opened:
            arms.close()
            if arms.window is not None:
                arms.window.deleteLater()
        self.studio.save_view()
        if isValid(self.host):
            self.host.deleteLater()

    def give_check(self, check: dict[str, Any]) -> None:
        self.studio.painting.set_check_result(self.studio.canvas_photo.id, stored(check, SURE, [PASSAGE]))
        self.studio.read_check()

    def add_photo(self, folder: Path, name: str) -> int:
        painting = self.studio.painting
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder, name)[0]).id).id
        self.studio.hang_canvas_photo(photo)
        return photo


def shown(arms: ArmsLength) -> ArmsWindow:
    assert arms.window is not None
    return arms.window


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A painting with one photo of its canvas, laid flat; with and without its check."""
    folder = tmp_path_factory.mktemp("arms")
    where = make_painting(folder)
    shutil.copytree(where, folder / "bare")
    with Painting.open(where) as painting:
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder)[0]).id)
        painting.set_corners(photo.id, CORNERS)
        painting.set_check_result(photo.id, stored(CHECK, SURE, [PASSAGE]))
    return where


def make_studio(where: Path, folder: Path) -> Studio:
    shutil.copytree(where, folder)
    studio = Studio(Painting.open(folder), Worker(synchronous=True))
    studio.begin()
    return studio


def end_studio(studio: Studio) -> None:
    studio.close()
    studio.worker.close()


@pytest.fixture(scope="module")
def studio(qapp: QApplication, kept: Path) -> Iterator[Studio]:
    """Reference and canvas hang, and there are two things to mend; for tests that change only the view."""
    made = make_studio(kept, kept.parent / "shared")
    yield made
    end_studio(made)


@pytest.fixture
def bench(qtbot: QtBot, studio: Studio, tmp_path: Path) -> Iterator[Bench]:
    before = studio.view
    made = Bench(QWidget(), studio, Machine(tmp_path))
    yield made
    studio.change_view(before)
    made.close()


@pytest.fixture(params=["painting"])
def own(qtbot: QtBot, kept: Path, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Bench]:
    """The same on a painting that may be changed; or on one that has no photo of its canvas: ``bare``."""
    studio = make_studio(kept.with_name(request.param), tmp_path / "own")
    made = Bench(QWidget(), studio, Machine(tmp_path))
    yield made
    made.close()
    end_studio(studio)


@pytest.fixture
def arms(bench: Bench) -> ArmsLength:
    return bench.open()


def press(qtbot: QtBot, arms: ArmsLength, *keys: Qt.Key) -> None:
    for key in keys:
        qtbot.keyClick(shown(arms), key)


def ringed(arms: ArmsLength) -> tuple[float, float] | None:
    place = shown(arms).wall._place
    return None if place is None else (place.x_mm, place.y_mm)


def test_the_first_thing_to_mend_is_told_marked_and_stepped_from(arms: ArmsLength, qtbot: QtBot) -> None:
    window = shown(arms)
    assert window.words.told.count == "1 of 2"
    assert "right eye" in window.words.told.sentence
    assert "1 of 2" in window.words.accessibleName()
    assert ringed(arms) == (136, 70)
    for key in (Key.Key_PageDown, Key.Key_Right, Key.Key_N):  # round and round
        press(qtbot, arms, key)
    assert (window.words.told.count, ringed(arms)) == ("2 of 2", (60, 100))
    for key in (Key.Key_PageUp, Key.Key_Left, Key.Key_P):
        press(qtbot, arms, key)
    assert (window.words.told.count, ringed(arms)) == ("1 of 2", (136, 70))
    assert window.wall.is_fitted


def test_a_held_pedal_steps_once(arms: ArmsLength) -> None:
    for repeated in (False, True, True, True, True):
        kind, plain = QEvent.Type.KeyPress, Qt.KeyboardModifier.NoModifier
        QApplication.sendEvent(shown(arms), QKeyEvent(kind, Key.Key_PageDown, plain, "", repeated))
    assert shown(arms).words.told.count == "2 of 2"


def test_closer_goes_to_the_place_and_follows_until_all_is_shown_again(arms: ArmsLength, qtbot: QtBot) -> None:
    wall = shown(arms).wall
    press(qtbot, arms, Key.Key_Return)
    assert (wall.sight.x_mm, wall.sight.y_mm, wall.is_fitted) == (136, 70, False)
    assert shown(arms).row.buttons["closer"].isChecked()
    press(qtbot, arms, Key.Key_N)
    assert (wall.sight.x_mm, wall.sight.y_mm) == (60, 100)
    press(qtbot, arms, Key.Key_F5)
    assert wall.is_fitted
    assert not shown(arms).row.buttons["closer"].isChecked()


def test_looks_act_on_all_pictures_and_their_buttons_tell(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    studio, buttons = bench.studio, shown(arms).row.buttons
    press(qtbot, arms, Key.Key_G)
    assert [each.look for each in studio.view.hung] == [Look.GREY, Look.GREY]
    assert buttons["grey"].isChecked()
    press(qtbot, arms, Key.Key_V)
    assert [each.look for each in studio.view.hung] == [Look.STEPS, Look.STEPS]
    assert not buttons["grey"].isChecked()
    press(qtbot, arms, Key.Key_V, Key.Key_Q, Key.Key_L)
    assert [(each.look, each.acetate) for each in studio.view.hung] == [(Look.COLOUR, True)] * 2
    assert studio.view.squint
    assert [hanging.title for hanging in shown(arms).wall.hangings] == [each.title for each in studio.hangings()]


@pytest.mark.parametrize("count", [2, 1])
def test_blink_changes_over_and_back(arms: ArmsLength, qtbot: QtBot, count: int) -> None:
    press(qtbot, arms, Key.Key_2 if count == 2 else Key.Key_T)

    def titles() -> list[str]:
        return [sheet.hanging.title for sheet in shown(arms).wall.sheets if sheet.hanging is not None]

    before = titles()
    assert len(before) == count
    press(qtbot, arms, Key.Key_B)
    over = titles()
    assert over == (before[::-1] if count == 2 else ["Reference"])
    press(qtbot, arms, Key.Key_Q)  # and stays so while another look is hung
    assert [title.split(" · ")[0] for title in titles()] == [title.split(" · ")[0] for title in over]
    press(qtbot, arms, Key.Key_Q, Key.Key_Period)
    assert titles() == before


def test_the_acetate_lifts_while_its_key_is_held(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    press(qtbot, arms, Key.Key_L)
    window = shown(arms)
    laid = image_codes(window.wall.grab().toImage())
    qtbot.keyPress(window, Key.Key_A)
    lifted = image_codes(window.wall.grab().toImage())
    qtbot.keyRelease(window, Key.Key_A)
    assert (lifted != laid).any()
    assert (image_codes(window.wall.grab().toImage()) == laid).all()


def test_esc_closes_and_the_desk_is_as_it_was(bench: Bench, qtbot: QtBot) -> None:
    bench.studio.change_view(replace(bench.studio.view, question=Question.EDGE))
    awake = CountedAwake()
    arms = bench.open(awake=awake)
    assert bench.studio.view.question is Question.MEND
    assert awake.held == 1
    press(qtbot, arms, Key.Key_Escape)
    assert (arms.is_open, awake.held) == (False, 0)
    assert bench.studio.view.question is Question.EDGE
    arms.toggle()
    assert (arms.is_open, awake.held) == (True, 1)
    arms.close()


def test_when_the_desk_goes_it_lets_the_screen_sleep(own: Bench) -> None:
    awake = CountedAwake()
    own.open(awake=awake)
    assert awake.held == 1
    own.host.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert awake.held == 0


def test_when_it_cannot_open_the_screen_may_sleep(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    awake = CountedAwake()

    def fails(window: ArmsWindow, *_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(ArmsWindow, "open_on", fails)
    with pytest.raises(RuntimeError):
        bench.open(awake=awake)
    assert awake.held == 0


def test_a_screen_that_cannot_be_kept_awake_is_told_in_a_line(bench: Bench) -> None:
    arms = bench.open(awake=CountedAwake(kept=False))
    assert NOT_KEPT in shown(arms).note.sentence
    assert shown(arms).note.isVisible()
    arms.close()


@pytest.mark.parametrize("own", ["bare"], indirect=True)
def test_what_to_do_is_said_while_there_is_no_list(own: Bench, tmp_path: Path, qtbot: QtBot) -> None:
    arms, studio = own.open(), own.studio
    words = shown(arms).words
    assert "Bring in a photo" in words.told.sentence
    press(qtbot, arms, Key.Key_K)
    assert "Bring in a photo" in shown(arms).note.sentence
    press(qtbot, arms, Key.Key_N, Key.Key_Return)
    own.add_photo(tmp_path, "first.jpg")
    assert "corners" in words.told.sentence
    studio.painting.set_corners(studio.canvas_photo.id, CORNERS)
    assert words.told.sentence.endswith("K checks it.")
    assert words.told.count == ""
    own.give_check(CHECK | {"mend": []})
    assert words.told.sentence == "Nothing to mend was found."
    own.give_check(CHECK)
    assert words.told.count == "1 of 2"
    studio.painting.set_corners(studio.canvas_photo.id, tuple((x + 40, y) for x, y in CORNERS))
    shown(arms).note.say("")
    assert "K checks again" in shown(arms).note.sentence


def test_the_check_key_asks_for_a_check_and_says_what_goes_wrong(bench: Bench, qtbot: QtBot) -> None:
    arms, studio = bench.open(), bench.studio
    press(qtbot, arms, Key.Key_K)
    assert bench.asked == ["check"]
    studio.checker.failed.emit("The photo cannot be read.")
    assert shown(arms).note.sentence == "The photo cannot be read."
    studio.worker.progressed.emit("check", 0.4, "Comparing")
    studio.checker.made.emit(1)
    assert shown(arms).note.sentence == "Checking… 40 %"
    studio.worker.idle.emit("check")
    assert not shown(arms).note.isVisible()


def test_a_fresh_check_begins_with_what_counts_most(own: Bench, qtbot: QtBot) -> None:
    arms = own.open()
    press(qtbot, arms, Key.Key_N)
    own.studio.findings_changed.emit()  # the same check, read anew
    assert shown(arms).words.told.count == "2 of 2"
    more = [*CHECK["mend"], CHECK["mend"][1] | {"weight": 9.0, "x_mm": 30, "say": "New."}]
    own.give_check(CHECK | {"mend": sorted(more, key=lambda each: -each["weight"])})
    assert (shown(arms).words.told.count, shown(arms).words.told.sentence) == ("1 of 3", "New.")
    assert ringed(arms) == (30, 100)


def test_arrows_hang_older_and_newer_photos(own: Bench, tmp_path: Path, qtbot: QtBot) -> None:
    arms = own.open()
    studio = own.studio
    first = studio.canvas_photo.id
    later = own.add_photo(tmp_path, "later.jpg")
    assert "corners" in shown(arms).words.told.sentence
    press(qtbot, arms, Key.Key_Up)
    assert studio.canvas_photo.id == first
    assert shown(arms).words.told.count == "1 of 2"
    press(qtbot, arms, Key.Key_Up)
    assert shown(arms).note.sentence == ENDS[-1]
    press(qtbot, arms, Key.Key_Down)
    assert studio.canvas_photo.id == later


def test_another_source_can_be_shown(bench: Bench, qtbot: QtBot) -> None:
    studio = bench.studio
    hung = [replace(studio.hangings()[0], title="Live")]
    arms = bench.open(source=Source(lambda: hung, lambda: None, studio.ledge_changed))
    assert [each.title for each in shown(arms).wall.hangings] == ["Live"]
    hung[0] = replace(hung[0], title="Live, next")
    studio.ledge_changed.emit()
    assert [each.title for each in shown(arms).wall.hangings] == ["Live, next"]
    press(qtbot, arms, Key.Key_B)
    assert "no other picture" in shown(arms).note.sentence


def test_without_a_drawing_the_acetate_says_so(own: Bench, qtbot: QtBot) -> None:
    while own.studio.drawing is not None:
        assert own.studio.undo()
    arms = own.open()
    press(qtbot, arms, Key.Key_L)
    assert shown(arms).note.sentence == NO_DRAWING


def test_the_painter_gives_a_pedal_its_doing(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    window, machine = shown(arms), bench.machine
    press(qtbot, arms, Key.Key_F2)
    page = window.page
    assert page.isVisible()
    assert not window.row.isVisible()
    page.buttons["grey"].click()
    assert "“Grey”" in page.sentence
    press(qtbot, arms, Key.Key_Tab)
    assert "another key" in page.sentence
    press(qtbot, arms, Key.Key_MediaPlay)
    assert page.asked == ""
    assert f"{shown_key(int(Key.Key_MediaPlay))} does “Grey” now" in page.sentence
    page.buttons["grey"].click()
    press(qtbot, arms, Key.Key_Escape)  # leaves it as it is
    assert page.isVisible()
    press(qtbot, arms, Key.Key_Escape)
    assert not page.isVisible()
    assert window.row.isVisible()
    press(qtbot, arms, Key.Key_MediaPlay)
    assert bench.studio.view.hung[0].look is Look.GREY
    kept = Machine(machine.folder).kept.arms_keys
    assert Keys.from_json(kept).doing(Key.Key_MediaPlay) == "grey"
    press(qtbot, arms, Key.Key_F2)
    page.usual.click()
    page.done.click()
    assert Machine(machine.folder).kept.arms_keys == {}


@pytest.mark.parametrize("key", [Key.Key_Space, Key.Key_Return, Key.Key_Down])
def test_keys_that_press_buttons_can_be_given_too(arms: ArmsLength, qtbot: QtBot, key: Qt.Key) -> None:
    window = shown(arms)
    press(qtbot, arms, Key.Key_F2)
    window.page.buttons["check"].click()
    qtbot.keyClick(window.focusWidget(), Key.Key_Tab)  # where the keyboard is
    assert "another key" in window.page.sentence
    qtbot.keyClick(window.focusWidget(), key)
    assert window.keys.doing(key) == "check"
    assert window.page.isVisible()


def test_what_was_kept_is_used_and_nonsense_is_not(bench: Bench) -> None:
    machine = bench.machine
    machine.keep(arms_keys={"grey": [int(Key.Key_F9)]}, arms_surround="dark")
    arms = bench.open()
    assert (shown(arms).keys.shown("grey"), shown(arms).surround) == (("F9",), "dark")
    machine.keep(arms_keys={"grey": ["G"]}, arms_surround="pink")
    bench.machine = Machine(machine.folder)
    again = bench.open()
    assert (shown(again).keys, shown(again).surround) == (Keys.usual(), "mid")


def test_the_machine_reads_files_of_before_and_no_nonsense(tmp_path: Path) -> None:
    machine = Machine(tmp_path)
    machine.keep(unit="in", arms_surround="light")
    text = (tmp_path / "window.json").read_text()
    older = text.replace('"arms_surround": "light",', "").replace('"arms_keys": {},', "")
    (tmp_path / "window.json").write_text(older)
    assert (Machine(tmp_path).kept.unit, Machine(tmp_path).kept.arms_surround) == ("in", "")
    (tmp_path / "window.json").write_text(text.replace('"arms_keys": {}', '"arms_keys": 3'))
    assert Machine(tmp_path).kept.unit == "cm"


def test_space_presses_the_button_that_tab_has_chosen(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    button = shown(arms).row.buttons["surround"]
    button.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(button, Key.Key_Space)
    assert shown(arms).surround == "light"
    qtbot.keyClick(button, Key.Key_N)  # a doing: the keyboard goes back to the pictures
    assert shown(arms).words.told.count == "2 of 2"
    assert not button.hasFocus()


@pytest.mark.parametrize("name", list(SURROUNDS))
def test_type_stands_out_in_every_surround(name: str) -> None:
    shades = SURROUNDS[name]
    for ground in GROUNDS:
        for ink in INKS:
            assert look.contrast(shades.colour(ground), shades.colour(ink)) >= 4.5, (ground, ink)
    assert look.contrast(shades.colour("pressed"), shades.colour("on_pressed")) >= 4.5


def test_the_surround_goes_round_and_is_kept_and_the_desk_keeps_its_own(arms: ArmsLength, bench: Bench, qtbot) -> None:
    window, desk = shown(arms), WallView(bench.studio.painting.size, bench.host)
    desk.resize(600, 300)
    desk.hang(bench.studio.hangings())
    own = image_codes(desk.grab().toImage())
    for name in ("light", "dark", "mid"):
        press(qtbot, arms, Key.Key_S)
        assert window.surround == Machine(bench.machine.folder).kept.arms_surround == name
        sheet = window.wall.sheets[0]
        wanted = SURROUNDS[name].colour("surround").red()
        for at in (window.wall.mapTo(window, QPoint(2, 2)), sheet.mapTo(window, QPoint(2, sheet.height() - 3))):
            assert window.grab().toImage().pixelColor(at).red() == wanted
    assert (image_codes(desk.grab().toImage()) == own).all()


def boxes(window: ArmsWindow) -> dict[str, QRect]:
    return {"wall": window.wall.geometry(), "words": window.words.geometry(), "row": window.row.geometry()}


@pytest.mark.parametrize("say", ["Too dark.", LONG])
def test_nothing_is_clipped_and_the_type_is_never_smaller(own: Bench, say: str) -> None:
    own.give_check(CHECK | {"mend": [CHECK["mend"][0] | {"say": say}]})
    window = shown(own.open())
    for size in ((1366, 768), (1920, 1080), (1280, 720), (911, 512), (768, 1366)):
        window.setGeometry(0, 0, *size)
        QApplication.processEvents()
        large, words = window.words.large(), window.words
        assert large.pixelSize() >= round(SENTENCE_PT / 72 * window.screen().logicalDotsPerInch())
        parts = boxes(window)
        names = list(parts)
        for index, name in enumerate(names):
            assert parts[name].isEmpty() or QRect(QPoint(), QSize(*size)).contains(parts[name])
            assert not any(parts[name].intersects(parts[other]) for other in names[index + 1 :])
        assert words.height() >= words.height_for(words.told, words.width(), beside=words.beside)
        buttons = [each for each in window.row.buttons.values() if each.isVisible()]
        assert len(buttons) >= 8
        for button in buttons:
            assert button.height() >= 72
            assert button.width() >= max(72, button.sizeHint().width())
        # On the smallest a long sentence takes all the room there is.
        assert window.wall.height() > 140 or (size == (911, 512) and say == LONG)


def test_pictures_have_most_of_the_screen_where_there_is_little_to_say(arms: ArmsLength) -> None:
    wall, window = shown(arms).wall, shown(arms)
    assert wall.width() * wall.height() > 0.5 * window.width() * window.height()


def test_words_lie_where_the_pictures_show_larger_and_stay_there() -> None:
    def words(width: int, beside: bool) -> float:
        return 40_000 / width * (2 if beside else 1)

    tall = places(QSize(1400, 800), lambda _: 80, words, lambda room: min(room.width(), room.height() / 2))
    wide = places(QSize(1400, 800), lambda _: 80, words, lambda room: min(room.width() / 4, room.height()))
    assert (tall.beside, wide.beside) == (True, False)
    evenly = [
        places(QSize(1400, 800), lambda _: 80, words, lambda room: room.width() ** 0.01, lie).beside
        for lie in (True, False)
    ]
    assert evenly == [True, False]


def test_a_legend_has_its_foot_and_another_screen_is_laid_out_for(arms: ArmsLength, bench: Bench) -> None:
    window, studio = shown(arms), bench.studio
    sheet = window.wall.sheets[0]
    assert sheet.geometry().bottom() == window.wall.height() - 1
    legend = difference_legend()
    hung = [replace(each, legend=legend) for each in studio.hangings()]
    window.showing._source = Source(lambda: hung, lambda: None, studio.wall_changed)
    window.showing.refresh()
    assert sheet.geometry().bottom() < window.wall.height() - 20
    window.words.setGeometry(QRect())
    window.windowHandle().screenChanged.emit(window.screen())
    assert window.words.height() > 50


def test_points_are_real_ones(arms: ArmsLength) -> None:
    screen = shown(arms).screen()
    # 72 points are an inch, and an inch has so many dots; a size that the screen claims in good faith is believed.
    assert font(72.0, screen).pixelSize() == round(dots_per_inch(screen))
    assert dots_per_inch(screen) >= screen.logicalDotsPerInch()
    assert height_of("one two three", font(40, screen), 1e4) * 2 < height_of("one two three", font(40, screen), 150) + 1
    assert height_of("temperature", font(40, screen), 50) == float("inf")


def test_a_figure_stays_with_its_unit() -> None:
    assert whole_figures("2.6 ± 0.3 mm, 21 cm²: 1.5 steps too dark by 9 and") == (
        "2.6\N{NO-BREAK SPACE}±\N{NO-BREAK SPACE}0.3\N{NO-BREAK SPACE}mm, 21\N{NO-BREAK SPACE}cm²: "
        "1.5\N{NO-BREAK SPACE}steps too dark by 9 and"
    )


def test_help_tells_every_doing_with_its_keys_of_now(arms: ArmsLength, qtbot: QtBot) -> None:
    window = shown(arms)
    qtbot.keyClick(window, Key.Key_Question, Qt.KeyboardModifier.ShiftModifier)
    assert window.help.isVisible()
    assert [say for _, say in window.help.lines] == [each.say for each in DOINGS]
    assert window.rect().contains(window.help.geometry())
    assert not window.help.geometry().intersects(window.row.geometry())
    window.use_keys(Keys.usual().given("grey", int(Key.Key_F9))[0])
    assert ("F9  G", "all pictures in grey, or colour again") in window.help.lines
    press(qtbot, arms, Key.Key_H)
    assert not window.help.isVisible()


@cache
def finger() -> QPointingDevice:
    return QTest.createTouchDevice()


def touch(arms: ArmsLength, *points: tuple[int, int], lift: bool = True) -> None:
    """One finger, along these points of the window."""
    window = shown(arms)
    sheet, device = window.wall.sheets[0], finger()
    at = [sheet.mapFrom(window, QPoint(*point)) for point in points]
    QTest.touchEvent(sheet, device).press(0, at[0], sheet).commit()
    for each in at[1:]:
        QTest.touchEvent(sheet, device).move(0, each, sheet).commit()
    if lift:
        QTest.touchEvent(sheet, device).release(0, at[-1], sheet).commit()


def test_strokes_and_taps_step(arms: ArmsLength) -> None:
    counts = []
    for stroke in (
        [(500, 200), (450, 205), (300, 210)],  # to the left: the next
        [(300, 200), (350, 205), (500, 210)],  # to the right: the one before
        [(300, 200), (305, 300)],  # down: nothing
        [(660, 200)],  # the middle third: nothing
    ):
        touch(arms, *stroke)
        counts.append(shown(arms).words.told.count)
    assert counts == ["2 of 2", "1 of 2", "1 of 2", "1 of 2"]
    touch(arms, (300, 200))  # the left third, round to the last
    assert shown(arms).words.told.count == "2 of 2"
    assert shown(arms).wall.is_fitted


def test_one_finger_moves_what_is_close_and_two_come_closer(arms: ArmsLength, qtbot: QtBot) -> None:
    wall = shown(arms).wall
    zoom = wall.sight.zoom
    sheet, device = wall.sheets[0], finger()
    QTest.touchEvent(sheet, device).press(0, QPoint(150, 100), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(150, 100), sheet).press(1, QPoint(250, 100), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(100, 100), sheet).move(1, QPoint(300, 100), sheet).commit()
    QTest.touchEvent(sheet, device).release(0, QPoint(100, 100), sheet).release(1, QPoint(300, 100), sheet).commit()
    assert wall.sight.zoom == pytest.approx(2 * zoom)
    before = wall.sight
    touch(arms, (300, 200), (340, 210), (400, 230))
    assert wall.sight.x_mm == pytest.approx(before.x_mm - 100 / before.zoom)
    assert wall.sight.y_mm == pytest.approx(before.y_mm - 30 / before.zoom)
    assert shown(arms).words.told.count == "1 of 2"


def test_a_long_press_lifts_the_acetate_until_the_finger_goes(arms: ArmsLength) -> None:
    window = shown(arms)
    lifted: list[bool] = []
    window.fingers.pressed_long.connect(lifted.append)
    touch(arms, (300, 200), lift=False)
    assert window.fingers.still.isActive()
    window.fingers.still.timeout.emit()
    assert window.wall.sheets[0]._acetate_lifted
    sheet, device = window.wall.sheets[0], finger()
    at = sheet.mapFrom(window, QPoint(300, 200))
    QTest.touchEvent(sheet, device).release(0, at, sheet).commit()
    assert lifted == [True, False]
    assert not window.wall.sheets[0]._acetate_lifted
    assert window.words.told.count == "1 of 2"
