"""The ledge: canvas photos by sitting, one of which hangs."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QMenu, QScrollArea, QToolButton, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.ledge.card import Card
from app.ledge.thumbs import Thumbs
from app.start import dropped_files
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord


class Ledge(QFrame):
    """Follows the studio. What needs words or files is only wished for; the rest it changes itself."""

    add_wanted = Signal()
    rename_wanted = Signal(int)
    removed = Signal(str)  # name
    files_dropped = Signal(object)
    said = Signal(str)
    phone_wanted = Signal()
    tabs_wanted = Signal()
    watch_wanted = Signal()
    unwatch_wanted = Signal()

    def __init__(
        self, studio: Studio, actions: dict[str, QAction], thumbs: Thumbs, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        look.set_role(self, "ledge")
        self._studio, self._thumbs = studio, thumbs
        self.watched: str | None = None  # the folder that is watched, by its name
        self._cards: list[Card] = []
        self.setAcceptDrops(True)
        self.setAccessibleName("Ledge of canvas photos")
        self.more = QToolButton()
        self.more.setText("More…")
        self.more.setAccessibleName("More about the photo that hangs, and about where photos come from")
        self.more.clicked.connect(self._menu_of_hung)
        buttons = QVBoxLayout()
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
        whole.addLayout(buttons)
        whole.addWidget(self._empty, 1)
        whole.addWidget(self._scroll, 1)
        thumbs.ready.connect(self._show_thumb)
        studio.ledge_changed.connect(self.refresh)
        self.refresh()

    @property
    def cards(self) -> tuple[Card, ...]:
        return tuple(self._cards)

    def refresh(self) -> None:
        """Show the painting's canvas photos, and which one hangs."""
        photos = self._studio.canvas_photos
        if [card.photo for card in self._cards] != list(photos):
            self._rebuild(photos)
        for card in self._cards:
            card.setChecked(card.photo.id == self._studio.view.canvas_photo)
        self._fit_height()
        self._empty.setVisible(not photos)
        self._scroll.setVisible(bool(photos))

    def show_hung(self) -> None:
        """Bring the card of the photo that hangs into sight."""
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
        menu, painting = QMenu(self), self._studio.painting
        _add(menu, "Rename…", partial(self.rename_wanted.emit, photo.id))
        blank = _add(menu, "A photo of the blank canvas, to measure the light by", partial(self._mark_blank, photo))
        blank.setCheckable(True)
        blank.setChecked(photo.is_blank)
        sittings = menu.addMenu("Move to sitting")
        latest = painting.latest_sitting
        for number in range(1, latest + 2):
            words = f"{number}" if number <= latest else f"{number} (new)"
            move = _add(sittings, words, partial(self._change, painting.set_sitting, photo.id, number))
            move.setEnabled(number != photo.sitting)
        self._add_blanks(menu, photo)
        if photo.corners is not None:
            _add(menu, "Take the corners off", partial(self._change, painting.set_corners, photo.id, None))
        menu.addSeparator()
        _add(menu, "Remove from the ledge", partial(self._remove, photo))
        menu.setEnabled(not painting.read_only)
        return menu

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

    def _fit_height(self) -> None:
        """High enough for the cards, and for the scroll bar while there is one."""
        bar = self._scroll.horizontalScrollBar()
        card = self._cards[0].sizeHint().height() if self._cards else 0
        self._scroll.setFixedHeight(card + 2 + (bar.sizeHint().height() if bar.maximum() > 0 else 0))

    def _add_blanks(self, menu: QMenu, photo: CanvasPhotoRecord) -> None:
        blanks = [p for p in self._studio.canvas_photos if p.is_blank and p.id != photo.id]
        if not blanks or photo.is_blank:
            return
        choose = menu.addMenu("Light measured by")
        painting = self._studio.painting
        ways = [("the blank of the same sitting", None), *((f"“{b.name}”, sitting {b.sitting}", b.id) for b in blanks)]
        for words, blank in ways:
            way = _add(choose, words, partial(self._change, painting.use_blank, photo.id, blank))
            way.setCheckable(True)
            way.setChecked(photo.blank_id == blank)

    def _rebuild(self, photos: tuple[CanvasPhotoRecord, ...]) -> None:
        had_focus = next((card.photo.id for card in self._cards if card.hasFocus()), None)
        while self._row.count():
            item = self._row.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._cards = []
        sitting = 0
        for photo in photos:
            if photo.sitting != sitting:
                sitting = photo.sitting
                self._row.addWidget(_sitting_label(sitting))
            card = self._card(photo)
            self._row.addWidget(card)
            if photo.id == had_focus:
                card.setFocus()

    def _card(self, photo: CanvasPhotoRecord) -> Card:
        card = Card(photo)
        card.clicked.connect(partial(self._hang, photo.id))
        card.stepped.connect(partial(self._step, card))
        card.remove_wanted.connect(partial(self._remove, photo))
        card.customContextMenuRequested.connect(partial(self._menu, card))
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
        """What can be done with the photo that hangs, and where photos come from."""
        photo = self._studio.canvas_photo
        menu = QMenu(self) if photo is None else self.menu_for(photo)
        if photo is not None:
            menu.addSeparator()
        _add(menu, "Photos from your phone…", self.phone_wanted.emit).setEnabled(not self._studio.painting.read_only)
        _add(menu, "Watch a folder for photos…", self.watch_wanted.emit).setEnabled(not self._studio.painting.read_only)
        _add(menu, "Print corner tabs…", self.tabs_wanted.emit)
        if self.watched is not None:
            _add(menu, f"Watch “{self.watched}” no more", self.unwatch_wanted.emit)
        return menu

    def _menu_of_hung(self) -> None:
        self.more_menu().exec(self.more.mapToGlobal(QPoint(0, self.more.height())))

    def _mark_blank(self, photo: CanvasPhotoRecord) -> None:
        self._change(self._studio.painting.set_is_blank, photo.id, not photo.is_blank)

    def _remove(self, photo: CanvasPhotoRecord) -> None:
        if self._change(self._studio.painting.remove_canvas_photo, photo.id):
            self.removed.emit(photo.name)

    def _change(self, change: Callable[..., object], *arguments: object) -> bool:
        try:
            change(*arguments)
        except PainterError as trouble:
            self.said.emit(str(trouble))
            return False
        return True


def _sitting_label(sitting: int) -> QLabel:
    label = QLabel(f"Sitting\n{sitting}")
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setContentsMargins(8, 0, 4, 0)
    look.set_role(label, "note")
    return label


def _add(menu: QMenu, words: str, do: Callable[[], object]) -> QAction:
    action = QAction(words, menu)
    action.triggered.connect(lambda _=False: do())
    menu.addAction(action)
    return action
