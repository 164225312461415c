"""The first page: begin a painting, open one, or look at the demo painting."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QIcon, QKeySequence, QPixmap
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from app import look
from app.machine import Recent

_THUMB = QSize(96, 72)
_FOLDER, _TITLE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1


class StartPage(QWidget):
    """Asks nothing and opens nothing itself: it says what the painter wants."""

    photo_wanted = Signal()  # begin a painting: choose its photograph
    photo_given = Signal(object)  # begin a painting with this Path
    open_wanted = Signal()
    painting_given = Signal(object)  # open this folder (Path)
    demo_wanted = Signal()
    restore_wanted = Signal()
    backup_wanted = Signal(object, str)  # the painting in this folder (Path), and its title
    forget_wanted = Signal(str)
    keys_wanted = Signal()
    dropped = Signal(object)  # list[Path]

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAcceptDrops(True)
        title = QLabel("Easelside")
        look.set_role(title, "heading")
        about = QLabel(
            "Says where a painting has strayed from the photograph it is painted from: the drawing in millimetres, "
            "the values in value steps."
        )
        about.setWordWrap(True)
        columns = QHBoxLayout()
        columns.setSpacing(40)
        columns.addWidget(self._beginnings(), 5)
        columns.addWidget(self._recent(), 6)
        inner = QVBoxLayout()
        inner.setSpacing(10)
        inner.addWidget(title)
        inner.addWidget(about)
        inner.addSpacing(14)
        inner.addLayout(columns, 1)
        middle = QFrame()
        middle.setMaximumWidth(1180)
        middle.setLayout(inner)
        inside = QWidget()
        row = QHBoxLayout(inside)
        row.setContentsMargins(24, 16, 24, 16)
        row.addWidget(middle)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)

    def show_recent(self, recent: Sequence[Recent], thumbs: Path) -> None:
        """List the paintings opened on this machine; their small pictures are PNG files in ``thumbs``."""
        self._list.clear()
        for each in recent:
            folder = Path(each.folder)
            where = _short(folder) if each.is_there else f"not found: {_short(folder)}"
            item = QListWidgetItem(f"{each.title}\n{each.canvas}  ·  {where}")
            item.setData(_FOLDER, each.folder)
            item.setData(_TITLE, each.title)
            item.setToolTip(each.folder)
            item.setSizeHint(QSize(10, round(92 * look.scale())))
            picture = QPixmap(str(thumbs / each.picture)) if each.picture else QPixmap()
            if not picture.isNull():
                item.setIcon(QIcon(picture))
            if not each.is_there:
                item.setForeground(look.shades().colour("quiet"))
            self._list.addItem(item)
        self._none.setVisible(not recent)
        self._list.setVisible(bool(recent))
        for button in (self._backup_button, self._forget_button):
            button.setVisible(bool(recent))
        if recent:
            self._list.setCurrentRow(0)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.dropped.emit(dropped_files(event))

    def _beginnings(self) -> QWidget:
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self.new_button = _big("New painting from a photograph…", primary=True)
        self.new_button.clicked.connect(self.photo_wanted)
        self.open_button = _big("Open a painting…")
        self.open_button.clicked.connect(self.open_wanted)
        self.demo_button = _big("Look at the demo painting")
        self.demo_button.clicked.connect(self.demo_wanted)
        self.restore_button = _big("Restore a painting from a backup…")
        self.restore_button.clicked.connect(self.restore_wanted)
        self.keys_button = _big("Keys  ?", quiet=True)
        self.keys_button.clicked.connect(self.keys_wanted)
        told = (
            (self.new_button, "Give the canvas’s size and crop the photograph to its shape."),
            (self.open_button, "A painting is a folder with its photographs, drawing and records."),
            (self.restore_button, "Its zip becomes a painting in a new folder; nothing is replaced."),
            (self.demo_button, "A still life of an enamel jug, quinces and linen, with faults to find."),
        )
        for button, words in told:
            column.addWidget(button)
            column.addWidget(_note(words))
            column.addSpacing(10)
        column.addStretch(1)
        column.addSpacing(6)
        column.addWidget(
            _note("You can also drop a photograph, a painting’s folder or a backup anywhere on this page.")
        )
        column.addWidget(self.keys_button, 0, Qt.AlignmentFlag.AlignLeft)
        return side

    def _recent(self) -> QWidget:
        side = QWidget()
        grid = QGridLayout(side)
        grid.setContentsMargins(0, 0, 0, 0)
        heading = QLabel("Recent paintings")
        look.set_role(heading, "subheading")
        self._list = QListWidget()
        self._list.setAccessibleName("Recent paintings")
        self._list.setIconSize(_THUMB)
        self._list.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.itemActivated.connect(self._open_item)
        self._list.itemClicked.connect(self._open_item)
        self._list.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        forget = QAction("Take it off this list", self._list)
        forget.setShortcut(QKeySequence(Qt.Key.Key_Delete))
        forget.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        forget.triggered.connect(self._forget)
        backup = QAction("Back up…", self._list)
        backup.triggered.connect(self._back_up)
        self._list.addActions((backup, forget))
        self._list.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self._none = _note("None yet on this machine. The paintings you open are listed here.")
        self._none.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._backup_button = QPushButton("Back up…")
        self._backup_button.setToolTip("A zip of the painting that is chosen in the list, best on another disk.")
        look.set_role(self._backup_button, "quiet")
        self._backup_button.clicked.connect(self._back_up)
        self._forget_button = QPushButton("Take off this list")
        self._forget_button.setToolTip("The painting’s folder is not touched.")
        look.set_role(self._forget_button, "quiet")
        self._forget_button.clicked.connect(self._forget)
        grid.addWidget(heading, 0, 0)
        grid.addWidget(self._backup_button, 0, 1)
        grid.addWidget(self._forget_button, 0, 2)
        grid.addWidget(self._list, 1, 0, 1, 3)
        grid.addWidget(self._none, 1, 0, 1, 3, Qt.AlignmentFlag.AlignTop)
        grid.setRowStretch(1, 1)
        grid.setColumnStretch(0, 1)
        return side

    def _open_item(self, item: QListWidgetItem) -> None:
        self.painting_given.emit(Path(item.data(_FOLDER)))

    def _back_up(self) -> None:
        item = self._list.currentItem()
        if item is not None:
            self.backup_wanted.emit(Path(item.data(_FOLDER)), item.data(_TITLE))

    def _forget(self) -> None:
        item = self._list.currentItem()
        if item is not None:
            self.forget_wanted.emit(item.data(_FOLDER))


def dropped_files(event: QDropEvent) -> list[Path]:
    """The local files and folders of a drag; none when it carries something else."""
    return [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]


def _short(folder: Path) -> str:
    try:
        return f"~/{folder.relative_to(Path.home())}"
    except ValueError:
        return str(folder)


def _note(text: str) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    look.set_role(label, "note")
    return label


def _big(text: str, *, primary: bool = False, quiet: bool = False) -> QPushButton:
    button = QPushButton(text)
    button.setMinimumHeight(look.target_px())
    if primary or quiet:
        look.set_role(button, "primary" if primary else "quiet")
    return button
