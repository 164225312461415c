"""Within reach of everyone: names for those who hear the window, large targets, and room on a small screen."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QAbstractScrollArea, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app import look
from app.view import Question
from app.work import Worker
from tests.app.window_case import CORNERS, Easel, canvas_shot, drop, make_easel, make_painting, reference_photo

TARGET_PX = 40
# A screen of 1366 × 768 at one and a half times the usual size.
SMALL = (910, 512)
PAGES = (
    "start",
    "new",
    "drawing",
    "value",
    "edge",
    "temperature",
    "mix",
    "mend",
    "sittings",
    "corners",
    "crop",
    "trace",
)


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return make_easel(qtbot, worker, tmp_path)


def show(easel: Easel, page: str, folder: Path) -> None:
    """Bring the window to one of its pages."""
    if page == "start":
        return
    if page == "new":
        easel.window.begin_painting(reference_photo(folder))
        return
    easel.window.open_painting(make_painting(folder))
    drop(easel.desk.ledge, [canvas_shot(folder)[0]])
    easel.desk.studio.painting.set_corners(easel.desk.studio.canvas_photo.id, CORNERS)
    if page in ("corners", "crop", "trace"):
        easel.press(page)
    elif easel.desk.studio.view.question is not Question(page):
        easel.press(f"question_{page}")
    easel.window.say("")


def shown(window: QWidget) -> Iterator[QWidget]:
    return (widget for widget in window.findChildren(QWidget) if widget.isVisible() and widget.isEnabled())


@pytest.mark.parametrize("page", PAGES)
def test_everything_the_keyboard_reaches_has_a_name(easel: Easel, tmp_path: Path, page: str) -> None:
    show(easel, page, tmp_path)
    nameless = [
        widget
        for widget in shown(easel.window)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not isinstance(widget, QAbstractScrollArea)
        and not (isinstance(widget, QLineEdit) and isinstance(widget.parent(), QWidget) and widget.focusProxy())
        and not widget.accessibleName()
        and not (isinstance(widget, QAbstractButton) and widget.text())
    ]
    assert not nameless


@pytest.mark.parametrize("page", PAGES)
def test_buttons_are_large(easel: Easel, tmp_path: Path, page: str) -> None:
    show(easel, page, tmp_path)
    small = [
        (button.text() or button.accessibleName(), button.size())
        for button in shown(easel.window)
        if isinstance(button, QAbstractButton) and min(button.width(), button.height()) < TARGET_PX
    ]
    assert not small


@pytest.mark.parametrize("page", PAGES)
def test_every_page_has_room_on_a_small_screen(easel: Easel, tmp_path: Path, page: str) -> None:
    show(easel, page, tmp_path)
    least = easel.window.pages.currentWidget().minimumSizeHint()
    assert least.width() <= SMALL[0]
    assert least.height() <= SMALL[1]
    easel.window.resize(*SMALL)
    assert (easel.window.width(), easel.window.height()) == SMALL


@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_cut_off_sideways_on_a_small_screen(easel: Easel, tmp_path: Path, page: str) -> None:
    """Columns scroll up and down; nothing reaches over their sides."""
    show(easel, page, tmp_path)
    easel.window.resize(*SMALL)
    cut = []
    for widget in shown(easel.window):
        if isinstance(widget, QAbstractButton | QLabel) and not _scrolls_sideways(widget):
            right = widget.mapTo(easel.window, widget.rect().topRight()).x()
            if right >= SMALL[0] or widget.width() < widget.minimumSizeHint().width():
                cut.append((widget.accessibleName() or getattr(widget, "text", str)(), right, widget.width()))
    assert not cut


def test_words_stand_out_from_their_ground() -> None:
    shades = look.shades()
    for ink in ("ink", "quiet"):
        for ground in ("panel", "raised", "field"):
            assert look.contrast(shades.colour(ink), shades.colour(ground)) >= 4.5  # WCAG 2.2, 1.4.3
    assert look.contrast(shades.colour("on_pressed"), shades.colour("pressed")) >= 4.5


def test_tab_goes_from_the_bar_to_the_wall_and_on_to_the_panel(easel: Easel, tmp_path: Path) -> None:
    show(easel, "value", tmp_path)
    order: list[QWidget] = []
    easel.desk.bar.findChildren(QAbstractButton)[0].setFocus()
    for _ in range(80):
        focused = easel.window.focusWidget()
        if focused in order:
            break
        order.append(focused)
        easel.window.focusNextChild()
    parts = [easel.desk.bar, easel.desk.wall, easel.desk.ledge, easel.desk.side]
    met = [next((part for part in parts if part.isAncestorOf(widget)), None) for widget in order]
    first = [met.index(part) for part in parts]
    assert first == sorted(first)


def _scrolls_sideways(widget: QWidget) -> bool:
    """The cards of the ledge."""
    parent = widget.parentWidget()
    while parent is not None:
        if parent.accessibleName() == "Ledge of canvas photos":
            return True
        parent = parent.parentWidget()
    return False
