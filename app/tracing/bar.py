"""The bar of the tracing page: the tools, what they draw, and how strongly the reference shows."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QLineF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QAction, QColor, QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import QButtonGroup, QFrame, QHBoxLayout, QLabel, QSlider, QWidget

from app import look
from app.actions import KeyButton
from app.flow import FlowLayout
from app.keys import shown_key
from app.tracing.tool import Tool
from app.wall.kinds import KINDS, Kind

_SAMPLE_PX = 30


class TraceBar(QFrame):
    """Buttons of the window's actions, and signals for what has no action."""

    done = Signal()
    kind_chosen = Signal(object)  # Kind
    faded = Signal(float)

    def __init__(self, actions: Mapping[str, QAction], tools: Sequence[Tool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self._flow = FlowLayout(self, margin=6, gap=4)
        self.done_button = KeyButton("Done", "Esc")
        self.done_button.is_primary = True
        self.done_button.setToolTip("Back to the wall; every line is saved")
        self.done_button.clicked.connect(lambda _=False: self.done.emit())
        self.tools = {tool.name: KeyButton.of(actions[tool.name], tool.word) for tool in tools}
        self.snap = KeyButton.of(actions["trace_snap"], "Snap")
        self.snap.setAccessibleName("Snap to edges")
        self.kinds = {kind: KindButton(kind) for kind in KINDS}
        self.kinds[KINDS[-1]].key = shown_key("trace_kind")
        self.grey = KeyButton.of(actions["grey"], "Grey")
        self.fade = QSlider(Qt.Orientation.Horizontal)
        self.undo, self.redo = (_plain(actions[name], word) for name, word in (("undo", "Undo"), ("redo", "Redo")))
        self._lay_out()

    def show_tool(self, chosen: Tool) -> None:
        """Press the button of the tool in hand."""
        for name, each in self.tools.items():
            each.defaultAction().setChecked(name == chosen.name)

    def show_kind(self, chosen: Kind) -> None:
        for kind, each in self.kinds.items():
            each.setChecked(kind is chosen)

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.fade.setFixedWidth(round(look.px(100)))
        self._flow.invalidate()

    def _lay_out(self) -> None:
        self.fade.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keyboard with the picture
        self.fade.setRange(0, 95)
        self.fade.setPageStep(10)
        self.fade.setAccessibleName("How far the reference is faded")
        self.fade.setToolTip(f"Fade the reference to see the lines ({shown_key('trace_fade')})")
        self.fade.valueChanged.connect(lambda value: self.faded.emit(value / 100))
        fading = QWidget()
        beside = QHBoxLayout(fading)
        beside.setContentsMargins(8, 0, 0, 0)
        beside.addWidget(QLabel("Fade"))
        beside.addWidget(self.fade)
        group = QButtonGroup(self)
        for kind, each in self.kinds.items():
            group.addButton(each)
            each.clicked.connect(lambda _=False, kind=kind: self.kind_chosen.emit(kind))
        groups: tuple[tuple[QWidget, ...], ...] = (
            (self.done_button,),
            tuple(self.tools.values()),
            (self.snap,),
            tuple(self.kinds.values()),
            (self.grey, fading),
            (self.undo, self.redo),
        )
        for parts in groups:
            for part in parts:
                self._flow.addWidget(part)
            self._flow.addWidget(_gap())
        self.restyle()


class KindButton(KeyButton):
    """A kind of line: how it is drawn, and its word."""

    def __init__(self, kind: Kind, parent: QWidget | None = None) -> None:
        super().__init__(kind.word, "", parent)
        self.kind = kind
        self.setCheckable(True)
        self.setObjectName(f"kind_{kind.layer.replace(' ', '_')}")
        self.setToolTip(f"Draw {kind.layer} lines ({shown_key('trace_kind')} for the next kind)")

    def sizeHint(self) -> QSize:
        return super().sizeHint() + QSize(round(look.px(_SAMPLE_PX + 8)), 0)

    def _write(self, painter: QPainter, ink: QColor, quiet: QColor) -> None:
        kind, width = self.kind, look.px(_SAMPLE_PX)
        left, middle = look.px(11), self.height() / 2
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(ink, look.px(kind.width_px), c=Qt.PenCapStyle.FlatCap)
        if kind.dash_px:
            pen.setDashPattern([kind.dash_px / kind.width_px, kind.gap_px / kind.width_px])
        painter.setPen(pen)
        painter.drawLine(QLineF(left, middle, left + width, middle))
        words = round(left + width + look.px(8))
        centred = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.setFont(look.font())
        painter.setPen(ink)
        painter.drawText(QRect(words, 0, self.width() - words, self.height()), centred, self.word)
        if self.key:
            gap = QFontMetrics(look.font()).horizontalAdvance(self.word) + round(look.px(7))
            painter.setFont(look.font("note"))
            painter.setPen(quiet)
            painter.drawText(QRect(words + gap, 1, self.width() - words - gap, self.height()), centred, self.key)


def _plain(action: QAction, word: str) -> KeyButton:
    made = KeyButton.of(action, word)
    made.key = ""
    return made


def _gap() -> QWidget:
    gap = QWidget()
    gap.setFixedSize(6, 1)
    return gap
