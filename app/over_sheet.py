"""A sheet over the whole window, in type that is read from the easel, until a key or a press takes it away."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app import look


class OverSheet(QFrame):
    """Lies over ``host``. Those that follow say in ``fit`` what is on it at its width."""

    closed = Signal()

    def __init__(self, heading: str, host: QWidget) -> None:
        super().__init__(host)
        self.setAutoFillBackground(True)
        self.setAccessibleName(heading)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.host = host
        self.heading = QLabel(heading)
        look.set_role(self.heading, "heading")
        self.close_button = QPushButton("Close  Esc")
        self.close_button.clicked.connect(self.put_away)
        self.top = QHBoxLayout()
        self.top.addWidget(self.heading)
        self.top.addStretch(1)
        self.top.addWidget(self.close_button)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 14, 24, 10)
        column.addLayout(self.top)
        column.addWidget(self.area, 1)
        host.installEventFilter(self)
        self.hide()

    def fit(self) -> None:
        """The host has another size, or the sheet is about to be shown."""

    def bring_up(self) -> None:
        """Show it over all."""
        self.setGeometry(self.host.rect())
        self.fit()
        self.show()
        self.raise_()
        self.close_button.setFocus()

    def put_away(self) -> None:
        if not self.isHidden():
            self.hide()
            self.closed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.host and event.type() == QEvent.Type.Resize and not self.isHidden():
            self.setGeometry(self.host.rect())
            self.fit()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape or event.text() == "?":
            self.put_away()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.put_away()
