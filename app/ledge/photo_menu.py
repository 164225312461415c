"""What can be done with one canvas photo, as a menu."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from app.ledge.sittings import day_words, sitting_words
from app.studio import Studio
from core.painting import CanvasPhotoRecord
from core.store.ledge import moment

Change = Callable[..., object]


@dataclass(frozen=True)
class Wishes:
    """What the menu only wishes for: each gets the photo. ``change`` calls a change of the painting and says what
    stands in its way. ``compare`` gets two photos by their numbers."""

    rename: Callable[[CanvasPhotoRecord], object]
    remove: Callable[[CanvasPhotoRecord], object]
    throw_away: Callable[[CanvasPhotoRecord], object]
    change: Change
    compare: Callable[[int, int], object]


def photo_menu(studio: Studio, photo: CanvasPhotoRecord, wishes: Wishes, parent: QWidget) -> QMenu:
    """The lines that change something rest while the painting is open only to look; comparing does not."""
    menu, painting, change = QMenu(parent), studio.painting, wishes.change
    add(menu, "Rename…", partial(wishes.rename, photo))
    menu.setActiveAction(menu.actions()[0])  # so that the menu's key and Enter rename
    blank = add(
        menu,
        "A photo of the blank canvas, to measure the light by",
        partial(change, painting.set_is_blank, photo.id, not photo.is_blank),
    )
    blank.setCheckable(True)
    blank.setChecked(photo.is_blank)
    _add_sittings(menu, studio, photo, change)
    _add_blanks(menu, studio, photo, change)
    if photo.corners is not None:
        add(menu, "Take the corners off", partial(change, painting.set_corners, photo.id, None))
    menu.addSeparator()
    add(menu, "Remove from the ledge, its file stays", partial(wishes.remove, photo))
    add(menu, "Delete: move its file to the bin", partial(wishes.throw_away, photo))
    for line in menu.actions():
        line.setEnabled(line.isEnabled() and not painting.read_only)
    menu.insertSeparator(blank)
    _insert_compare(menu, blank, studio, photo, wishes.compare)
    return menu


def add(menu: QMenu, words: str, do: Callable[[], object]) -> QAction:
    """A line of a menu."""
    action = QAction(words, menu)
    action.triggered.connect(lambda _=False: do())
    menu.addAction(action)
    return action


def _insert_compare(
    menu: QMenu, before: QAction, studio: Studio, photo: CanvasPhotoRecord, compare: Callable[[int, int], object]
) -> None:
    """With the one that hangs; for that one itself, with any other."""
    others = [each for each in studio.canvas_photos if each.id != photo.id]
    hung = studio.view.canvas_photo
    if hung != photo.id:
        line = QAction("Compare with the one that hangs", menu)
        line.setEnabled(hung is not None)
        if hung is not None:
            line.triggered.connect(lambda _=False, hung=hung: compare(photo.id, hung))
        menu.insertAction(before, line)
    else:
        beside = QMenu("Compare with", menu)
        beside.setEnabled(bool(others))
        for other in others:
            day = day_words(moment(other).date(), date.today())
            add(beside, f"{other.name} · sitting {other.sitting}, {day}", partial(compare, photo.id, other.id))
        menu.insertMenu(before, beside)
    menu.insertSeparator(before)


def _add_sittings(menu: QMenu, studio: Studio, photo: CanvasPhotoRecord, change: Change) -> None:
    painting, photos = studio.painting, studio.canvas_photos
    sittings = menu.addMenu("Move to sitting")
    latest = painting.latest_sitting
    for number in range(1, latest + 2):
        day = sitting_words(number, photos, date.today())[1]
        words = f"{number} (new)" if number > latest else f"{number} · {day}" if day else f"{number}"
        add(sittings, words, partial(change, painting.set_sitting, photo.id, number)).setEnabled(
            number != photo.sitting
        )
    mates = [each.id for each in photos if each.sitting == photo.sitting]
    at = mates.index(photo.id) if photo.id in mates else 0
    for words, by in (("Earlier in its sitting", -1), ("Later in its sitting", 1)):
        order = _swapped([each.id for each in photos], photo.id, mates[at + by] if 0 <= at + by < len(mates) else None)
        add(menu, words, partial(change, painting.reorder, order)).setEnabled(0 <= at + by < len(mates))


def _swapped(order: list[int], one: int, other: int | None) -> list[int]:
    if other is None:
        return order
    places = {one: other, other: one}
    return [places.get(each, each) for each in order]


def _add_blanks(menu: QMenu, studio: Studio, photo: CanvasPhotoRecord, change: Change) -> None:
    blanks = [each for each in studio.canvas_photos if each.is_blank and each.id != photo.id]
    if not blanks or photo.is_blank:
        return
    choose = menu.addMenu("Light measured by")
    ways = [("the blank of the same sitting", None), *((f"“{b.name}”, sitting {b.sitting}", b.id) for b in blanks)]
    for words, blank in ways:
        way = add(choose, words, partial(change, studio.painting.use_blank, photo.id, blank))
        way.setCheckable(True)
        way.setChecked(photo.blank_id == blank)
