"""How it is laid out: the size and contrast of its type, and the room of the pictures."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import look
from app.arms.arms import ArmsLength
from app.arms.keys import DOINGS, Keys
from app.arms.laid_out import places
from app.arms.showing import Source
from app.arms.surround import GROUNDS, INKS, SURROUNDS
from app.arms.type import SENTENCE_PT, dots_per_inch, font, height_of
from app.arms.window import ArmsWindow
from app.arms.words import whole_figures
from app.hangings import difference_legend
from app.machine import Machine
from app.wall.wall_view import WallView
from tests.app.arms.arms_case import Bench, press, shown
from tests.app.test_questions import CHECK
from tests.app.wall_support import image_codes

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


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
