"""The page of the progress film: what is played, compared, set and said."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app import look
from app.film.choice import SETTING, Choice, choice_from_json
from app.film.divided import MOST
from app.film.jobs import MOST_PIXELS, PREVIEW_PX, preview_px
from app.film.player import Player
from app.picture import srgb_of_qimage
from core.progress_film.film import Over
from core.progress_film.frames import moments
from core.progress_film.match import Matched
from core.progress_film.stills import layout
from tests.app.film.film_page_case import QUICK, Shown, near
from tests.core.progress_film.film_case import COLOURS

CODES = 2
"""QPainter rounds each share to 256 parts; core does not."""


def settle(shown: Shown) -> None:
    """What has been changed is taken up at once."""
    shown.page.refresh()


def test_what_plays_is_what_core_writes(shown: Shown) -> None:
    page = shown.begin()
    film, reel = page.film, page.player.reel
    assert film is not None
    assert reel is not None
    matched = tuple(Matched(shot.checked_corners()) for shot in film.in_order)
    frame = 0
    for pixels, moment in moments(film, matched, layout(film, width_px=QUICK.width_px)):
        for at in (frame, frame + moment.frames - 1):
            assert np.abs(srgb_of_qimage(reel.image(at)).astype(int) - pixels).max() <= CODES
        frame += moment.frames
    assert reel.count == frame
    assert page.said.text() == f"3 photos, {frame / QUICK.rate:.1f} s in all, 160 × 140 pixels."
    assert "“As shot” is left out: the corners are not placed." in page.notes.text()
    assert "“Bare” is left out: only the blank canvas is seen." in page.notes.text()


def test_space_plays_and_stops_and_the_time_line_is_gone_to(shown: Shown, qtbot: QtBot) -> None:
    page = shown.begin()
    player, now = page.player, [100.0]
    player._clock = lambda: now[0]
    qtbot.keyClick(player.view, Qt.Key.Key_Space)
    assert player.is_playing
    assert player.play_button.word == "Stop"
    now[0] += 0.3
    player.tick()
    assert player.frame == 3
    assert near(player.view.image, 0.5, 0.5, COLOURS[0])
    now[0] += 0.6
    player.tick()
    assert player.frame == 9
    assert near(player.view.image, 0.5, 0.5, COLOURS[1])
    qtbot.keyClick(player.view, Qt.Key.Key_Space)
    assert not player.is_playing
    player.play_button.click()
    now[0] += 60.0
    player.tick()
    assert not player.is_playing
    assert player.frame == player.line.maximum()
    assert player.says.text() == "2.2 of 2.3 s"
    shown.press("older", "older")
    assert (player.frame, player.view.accessibleDescription()[:9]) == (7, "Sitting 2")
    qtbot.keyClick(player.line, Qt.Key.Key_Home)
    assert near(player.view.image, 0.5, 0.5, COLOURS[0])
    qtbot.keyClick(player.view, Qt.Key.Key_Escape)
    assert not shown.placing.is_away


def test_before_and_after_are_parted_by_a_line(shown: Shown, qtbot: QtBot) -> None:
    page = shown.begin()
    page.compare_button.click()
    divided = page.divided
    assert divided.pair is not None

    def share_of_first() -> float:
        seen = divided.grab().toImage()
        lies, ratio = divided.lies(), seen.devicePixelRatio()
        row = [int(ratio * (lies.left() + (at + 0.5) * lies.width() / 100)) for at in range(100)]
        first = [x for x in row if seen.pixelColor(x, int(ratio * lies.center().y())).red() > 150]
        return len(first) / 100

    assert share_of_first() == pytest.approx(0.5, abs=0.02)
    assert near(divided.pair.before, 0.5, 0.5, COLOURS[0])
    assert near(divided.pair.after, 0.5, 0.5, COLOURS[2])
    lies = divided.lies()
    drag = [QPoint(round(lies.left() + part * lies.width()), round(lies.center().y())) for part in (0.4, 0.8)]
    qtbot.mousePress(divided, Qt.MouseButton.LeftButton, pos=drag[0])
    qtbot.mouseMove(divided, drag[1])
    qtbot.mouseRelease(divided, Qt.MouseButton.LeftButton, pos=drag[1])
    assert share_of_first() == pytest.approx(0.8, abs=0.02)
    qtbot.keyClick(divided, Qt.Key.Key_Left)
    assert share_of_first() == pytest.approx(0.78, abs=0.02)
    qtbot.keyClick(divided, Qt.Key.Key_End)
    assert divided.value() == MOST
    shown.press("older")
    assert near(divided.pair.after, 0.5, 0.5, COLOURS[1])
    assert "Right: Day 2" in divided.accessibleDescription()
    page.pair_bar.second.setCurrentIndex(0)
    assert divided.pair is None
    assert "same photo" in divided.accessibleDescription()
    assert not page.player.is_playing


def test_settings_are_kept_and_times_need_no_new_pictures(shown: Shown, monkeypatch: pytest.MonkeyPatch) -> None:
    page, painting = shown.begin(), shown.studio.painting
    stills = page._stills
    page.settings.fade.field.clear()
    QTest.keyClicks(page.settings.fade.field, "0")
    settle(shown)
    assert page._stills is stills
    assert page.player.reel is not None
    assert page.player.reel.count == 17
    page.settings.over.setCurrentIndex(1)
    page.settings.checks["titles"].setChecked(False)
    page.settings.order.setCurrentIndex(1)
    settle(shown)
    assert page._stills is not stills
    assert near(page.player.reel.image(0), 0.05, 0.05, COLOURS[2])
    kept, notes = choice_from_json(painting.setting(SETTING))
    assert not notes
    assert kept.over is Over.ALL
    assert (kept.film.fade_s, kept.film.titles, kept.film.order) == (0.0, False, "backwards")
    page.left.emit()
    assert shown.begin().settings.choice() == kept


def test_a_setting_that_cannot_be_is_told_and_what_was_seen_stays(shown: Shown) -> None:
    page = shown.begin()
    for words, said in (("soon", "give a number of s"), ("70", "goes from 0.04 to 60 s")):
        page.settings.stand.field.setText(words)
        page.save_film()
        assert said in page.trouble.text()
        assert page.trouble.isVisible()
        assert page.player.view.image is not None
    page.settings.stand.field.setText("0,4")
    settle(shown)
    assert not page.trouble.isVisible()
    assert page.said.text().startswith("3 photos, 2.3 s")


def test_photos_are_seen_as_placed_and_then_in_one_light(shown: Shown) -> None:
    shown.studio.painting.set_corners(shown.studio.canvas_photos[1].id, None)
    page = shown.begin()
    plain = page._stills
    page.settings.checks["even"].setChecked(True)
    page.settings.checks["steady"].setChecked(True)
    page.settings.light.setCurrentIndex(1)
    settle(shown)
    assert page._stills is not plain
    assert page._stills is not None
    assert page._stills.matched is not None
    assert [each.gain is None for each in page._stills.matched] == [True, False]
    assert "too little in common" in page.notes.text()
    assert page.settings.light.isEnabled()
    page.settings.checks["even"].setChecked(False)
    assert not page.settings.light.isEnabled()


def test_photos_that_go_are_followed_and_too_few_are_told(shown: Shown) -> None:
    page, painting = shown.begin(), shown.studio.painting
    first, second = (photo.id for photo in shown.studio.canvas_photos[:2])
    painting.set_corners(first, None)
    assert page._settling.isActive()
    settle(shown)
    assert page.said.text().startswith("2 photos")
    assert "“Day 1” and “As shot” are left out" in page.notes.text()
    assert near(page.player.view.image, 0.5, 0.5, COLOURS[1])
    painting.set_corners(second, None)
    settle(shown)
    assert "needs two canvas photos" in page.trouble.text()
    assert page.player.view.image is None
    page.left.emit()
    shown.placing.film_of_progress()
    assert not shown.placing.is_away
    assert "one of this painting’s is so" in shown.said
    assert "place their corners (P)" in shown.said


def test_a_photo_whose_file_is_gone_is_left_out(shown: Shown) -> None:
    painting = shown.studio.painting
    painting.photo_file(shown.studio.canvas_photos[0].photo.id).unlink()
    page = shown.begin()
    assert "“Day 1” is left out. " in page.notes.text()
    assert page.said.text().startswith("2 photos")


def test_everything_has_a_name_and_a_big_target(shown: Shown) -> None:
    page = shown.begin()
    for pair in (False, True):
        page.show_pair(pair)
        QApplication.processEvents()
        parts = [each for kind in (QAbstractButton, QComboBox, QLineEdit) for each in page.findChildren(kind)]
        for part in (*parts, page.player.line, page.divided):
            if not part.isVisible():
                continue
            told = QAccessible.queryAccessibleInterface(part)
            assert told.text(QAccessible.Text.Name), part
            assert part.height() >= look.TARGET_PX - 2 * look.shades().border_px, told.text(QAccessible.Text.Name)
            assert not _is_clipped(part, page), told.text(QAccessible.Text.Name)


def _is_clipped(part: QWidget, page: QWidget) -> bool:
    right = part.mapTo(page, part.rect().bottomRight()).x()
    return part.width() < part.minimumSizeHint().width() or right >= page.width()


def test_the_pictures_of_many_photos_are_smaller(shown: Shown) -> None:
    film = shown.begin().film
    assert film is not None
    wide = replace(film, settings=replace(QUICK, width_px=1920))
    assert preview_px(film) == QUICK.width_px
    assert preview_px(wide) == PREVIEW_PX
    many = replace(wide, shots=film.shots * 100)
    assert 0.9 < 300 * preview_px(many) ** 2 * 0.75 / MOST_PIXELS <= 1


@pytest.mark.parametrize("kept", [None, 7, {"film": 3, "over": [], "kind": "gif"}, {"film": {"stand_s": "x"}}])
def test_settings_that_cannot_be_read_are_as_usual(kept: object) -> None:
    choice, notes = choice_from_json(kept)
    assert choice == Choice()
    assert bool(notes) is (isinstance(kept, dict))


def test_a_player_without_a_film_rests(qtbot: QtBot) -> None:
    player = Player()
    qtbot.addWidget(player)
    player.toggle()
    player.tick()
    player.turn(1)
    assert not player.is_playing
    assert not player.line.isEnabled()
