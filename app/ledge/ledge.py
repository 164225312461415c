"""The ledge: canvas photos by sitting, one of which hangs."""

from collections.abc import Callable
from datetime import date
from functools import partial

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QMenu, QScrollArea, QToolButton, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.backups.earlier_view import EarlierView
from app.ledge.bin import BinView
from app.ledge.card import Card
from app.ledge.photo_menu import Wishes, add, photo_menu
from app.ledge.picked import Picking
from app.ledge.sittings import sitting_words
from app.ledge.thumbs import Thumbs
from app.start import dropped_files
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord


class Ledge(QFrame):
    """Follows the studio. What needs words or files is only wished for; the rest it changes itself."""

    add_wanted = Signal()
    rename_wanted = Signal(int)
    removed = Signal(str, bool)  # name, whether its file is in the bin now
    compare_wanted = Signal(int, int)  # two canvas photos
    files_dropped = Signal(object)
    said = Signal(str)
    phone_wanted = Signal()
    tabs_wanted = Signal()
    watch_wanted = Signal()
    unwatch_wanted = Signal()
    look_at_new_wanted = Signal(bool)
    backup_wanted = Signal()
    film_wanted = Signal()
    report_wanted = Signal()
    day_wanted = Signal(object)  # DayCopy: the painting as it was then

    def __init__(
        self, studio: Studio, actions: dict[str, QAction], thumbs: Thumbs, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        look.set_role(self, "ledge")
        self._studio, self._thumbs = studio, thumbs
        self.watched: str | None = None  # the folder that is watched, by its name
        self.looks_at_new: Callable[[], bool] = lambda: True
        self._cards: list[Card] = []
        self._labels: list[QLabel] = []
        self._labelled = date.today()
        self.picking = Picking(self)
        self.picking.pair.connect(self.compare_wanted)
        self.picking.rename.connect(self._rename)
        self.picking.said.connect(self.said)
        self.bin = BinView(studio, thumbs, self)
        self.bin.left.connect(partial(self.show_bin, False))
        self.bin.said.connect(self.said)
        self.bin.put_back.connect(studio.hang_canvas_photo)
        self.earlier = EarlierView(studio, self)
        self.earlier.left.connect(partial(self.show_earlier, False))
        self.earlier.said.connect(self.said)
        self.earlier.wanted.connect(self.day_wanted)
        self.setAcceptDrops(True)
        self.setAccessibleName("Ledge of canvas photos")
        self.more = QToolButton(self)
        self.more.setText("More…")
        self.more.setAccessibleName(
            "More about the photo that hangs, the bin, where photos come from, backups and earlier days"
        )
        self.more.clicked.connect(self._menu_of_hung)
        self._lay_out(actions)
        thumbs.ready.connect(self._show_thumb)
        studio.ledge_changed.connect(self.refresh)
        self.refresh()

    @property
    def cards(self) -> tuple[Card, ...]:
        return tuple(self._cards)

    @property
    def sittings(self) -> tuple[str, ...]:
        """What stands before the photos of each sitting."""
        return tuple(label.text() for label in self._labels)

    def refresh(self) -> None:
        """Show the painting's canvas photos, and which one hangs."""
        photos = self._studio.canvas_photos
        if [card.photo for card in self._cards] != list(photos) or self._labelled != date.today():
            self._rebuild(photos)
        for card in self._cards:
            card.setChecked(card.photo.id == self._studio.view.canvas_photo)
        self._fit_height()
        away = self.shows_bin or self.shows_earlier
        self._empty.setVisible(not photos and not away)
        self._scroll.setVisible(bool(photos) and not away)
        if self.shows_bin:
            self.bin.refresh()

    @property
    def shows_bin(self) -> bool:
        return not self.bin.isHidden()

    def show_bin(self, on: bool = True) -> None:
        """Show what lies in the bin where the photos are, or the photos again."""
        self.bin.setVisible(on)
        self._beside.setVisible(not on)
        self.refresh()
        (self.bin.back if on else self.more).setFocus()

    @property
    def shows_earlier(self) -> bool:
        return not self.earlier.isHidden()

    def show_earlier(self, on: bool = True) -> None:
        """Show the earlier days where the photos are, or the photos again."""
        if on:
            self.earlier.refresh()
        self.earlier.setVisible(on)
        self._beside.setVisible(not on)
        self.refresh()
        (self.earlier.back if on else self.more).setFocus()

    def show_hung(self) -> None:
        """Bring the card of the photo that hangs into sight."""
        if self.shows_bin:
            self.show_bin(False)
        if self.shows_earlier:
            self.show_earlier(False)
        for card in self._cards:
            if card.isChecked():
                self._scroll.ensureWidgetVisible(card)

    def hang_neighbour(self, by: int) -> None:
        """Hang the photo before or after the one that hangs."""
        ids = [card.photo.id for card in self._cards]
        if ids:
            hung = self._studio.view.canvas_photo
            at = ids.index(hung) + by if hung in ids else 0
            self._studio.hang_canvas_photo(ids[min(max(at, 0), len(ids) - 1)])
            self.show_hung()

    def menu_for(self, photo: CanvasPhotoRecord) -> QMenu:
        """What can be done with a photo."""
        wishes = Wishes(
            rename=lambda photo: self._rename(photo.id),
            remove=self._remove,
            throw_away=self._throw_away,
            change=self._change,
            compare=self.compare_wanted.emit,
        )
        return photo_menu(self._studio, photo, wishes, self)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.files_dropped.emit(dropped_files(event))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The wheel moves along the ledge."""
        if isinstance(event, QWheelEvent) and watched is self._scroll.viewport():
            bar = self._scroll.horizontalScrollBar()
            turned = event.angleDelta()
            bar.setValue(bar.value() - (turned.y() or turned.x()))
            return True
        return super().eventFilter(watched, event)

    def _lay_out(self, actions: dict[str, QAction]) -> None:
        self._beside = QWidget(self)
        buttons = QVBoxLayout(self._beside)
        buttons.setContentsMargins(0, 0, 0, 0)
        buttons.setSpacing(4)
        buttons.addWidget(KeyButton.of(actions["add_photos"], "Add photos"))
        lower = QHBoxLayout()
        lower.setSpacing(4)
        lower.addWidget(KeyButton.of(actions["corners"], "Corners"))
        lower.addWidget(self.more)
        buttons.addLayout(lower)
        buttons.addStretch(1)
        self._empty = QLabel(
            "No photo of the canvas yet. Press O, or drop photos here. They are copied in; nothing is changed."
        )
        self._empty.setWordWrap(True)
        self._row = QHBoxLayout()
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(4)
        inside = QWidget()
        line = QHBoxLayout(inside)
        line.setContentsMargins(0, 0, 0, 0)
        line.addLayout(self._row)
        line.addStretch(1)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setWidget(inside)
        self._scroll.horizontalScrollBar().rangeChanged.connect(self._fit_height)
        self._scroll.viewport().installEventFilter(self)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(8, 6, 8, 4)
        for part, room in ((self._beside, 0), (self._empty, 1), (self._scroll, 1), (self.bin, 1), (self.earlier, 1)):
            whole.addWidget(part, room)
        self.bin.hide()
        self.earlier.hide()

    def _fit_height(self) -> None:
        """High enough for the cards, and for the scroll bar while there is one."""
        bar = self._scroll.horizontalScrollBar()
        card = self._cards[0].sizeHint().height() if self._cards else 0
        self._scroll.setFixedHeight(card + 2 + (bar.sizeHint().height() if bar.maximum() > 0 else 0))

    def _rebuild(self, photos: tuple[CanvasPhotoRecord, ...]) -> None:
        had_focus = next((card.photo.id for card in self._cards if card.hasFocus()), None)
        while self._row.count():
            item = self._row.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._cards, self._labels = [], []
        self.picking.forget()
        self._labelled = date.today()
        sitting = 0
        for photo in photos:
            if photo.sitting != sitting:
                sitting = photo.sitting
                self._labels.append(_sitting_label(*sitting_words(sitting, photos, self._labelled)))
                self._row.addWidget(self._labels[-1])
            card = self._card(photo)
            self._row.addWidget(card, 0, Qt.AlignmentFlag.AlignTop)
            if photo.id == had_focus:
                card.setFocus()

    def _card(self, photo: CanvasPhotoRecord) -> Card:
        card = Card(photo)
        card.clicked.connect(partial(self._hang, photo.id))
        card.stepped.connect(partial(self._step, card))
        card.remove_wanted.connect(partial(self._remove, photo))
        card.customContextMenuRequested.connect(partial(self._menu, card))
        self.picking.follow(card)
        self._cards.append(card)
        try:
            image = self._thumbs.image(photo.photo.sha256, self._studio.painting.photo_file(photo.photo.id))
        except PainterError:
            image = None
        if image is not None:
            card.show_image(image)
        return card

    def _show_thumb(self, sha256: str) -> None:
        for card in self._cards:
            if card.photo.photo.sha256 == sha256:
                self._card_image(card)

    def _card_image(self, card: Card) -> None:
        image = self._thumbs.held(card.photo.photo.sha256)
        if image is not None:
            card.show_image(image)

    def _hang(self, canvas_photo: int, _checked: bool = False) -> None:
        self._studio.hang_canvas_photo(canvas_photo)
        self.refresh()

    def _step(self, card: Card, by: int) -> None:
        at = self._cards.index(card) + by
        if 0 <= at < len(self._cards):
            self._cards[at].setFocus(Qt.FocusReason.TabFocusReason)
            self._scroll.ensureWidgetVisible(self._cards[at])

    def _menu(self, card: Card, at: QPoint) -> None:
        self.menu_for(card.photo).exec(card.mapToGlobal(at))

    def more_menu(self) -> QMenu:
        """What can be done with the photo that hangs, where photos come from, and the painting's keeping."""
        photo = self._studio.canvas_photo
        menu = QMenu(self) if photo is None else self.menu_for(photo)
        if photo is not None:
            menu.addSeparator()
        add(menu, "The bin…", self.show_bin)
        menu.addSeparator()
        add(menu, "Photos from your phone…", self.phone_wanted.emit).setEnabled(not self._studio.painting.read_only)
        add(menu, "Watch a folder for photos…", self.watch_wanted.emit).setEnabled(not self._studio.painting.read_only)
        add(menu, "Print corner tabs…", self.tabs_wanted.emit)
        on = self.looks_at_new()
        new = add(
            menu, "Lay new photos flat and check them as they come", partial(self.look_at_new_wanted.emit, not on)
        )
        new.setCheckable(True)
        new.setChecked(on)
        if self.watched is not None:
            add(menu, f"Watch “{self.watched}” no more", self.unwatch_wanted.emit)
        menu.setStyleSheet("QMenu { menu-scrollable: 1; }")  # on a low screen, and at arm's length
        menu.addSeparator()
        as_now = self.earlier.looked_at is None
        add(menu, "Back up the painting…", self.backup_wanted.emit).setEnabled(as_now)
        add(menu, "Earlier days…", self.show_earlier)
        menu.addSeparator()
        add(menu, "A film of the progress…", self.film_wanted.emit)
        add(menu, "The painting’s report…", self.report_wanted.emit)
        return menu

    def _menu_of_hung(self) -> None:
        self.more_menu().exec(self.more.mapToGlobal(QPoint(0, self.more.height())))

    def _rename(self, canvas_photo: int) -> None:
        if not self._studio.painting.read_only:
            self.rename_wanted.emit(canvas_photo)

    def _remove(self, photo: CanvasPhotoRecord) -> None:
        if self._change(self._studio.painting.remove_canvas_photo, photo.id):
            self.removed.emit(photo.name, False)

    def _throw_away(self, photo: CanvasPhotoRecord) -> None:
        if self._change(self._studio.painting.throw_away, photo.id):
            self.removed.emit(photo.name, True)

    def _change(self, change: Callable[..., object], *arguments: object) -> bool:
        try:
            change(*arguments)
        except PainterError as trouble:
            self.said.emit(str(trouble))
            return False
        return True


def _sitting_label(sitting: str, day: str) -> QLabel:
    days = day.replace(" – ", " –\n")  # from the first to the last, one under the other
    label = QLabel(f"{sitting}\n{days}")
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setContentsMargins(8, 0, 4, 0)
    look.set_role(label, "note")
    return label
