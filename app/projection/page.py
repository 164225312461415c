"""The control page: which screen, what is thrown, how brightly, and the measuring of it."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QComboBox, QDialog, QGridLayout, QPushButton, QVBoxLayout, QWidget

from app import look
from app.projection.measure import MeasureFold
from app.projection.projector import Projector
from app.projection.screens import ScreenPlace
from app.projection.state import BRIGHTNESSES, LINE_WEIGHTS_MM, MODE_WORDS, Mode
from app.questions.parts import Panel, Stepper, button, row, text
from app.studio import Studio

_SIZE = (460, 660)
_SHORT = {Mode.LINES: "Drawing", Mode.COLOUR: "Colour", Mode.GREY: "Grey", Mode.STEP: "Value step"} | {
    Mode.CORNERS: "Corner marks", Mode.MARKS: "Measuring marks", Mode.DARK: "Black",
}  # fmt: skip

_PLACES = {
    Mode.LINES: (0, 0, 1, 3), Mode.COLOUR: (0, 3, 1, 3), Mode.GREY: (0, 6, 1, 2), Mode.STEP: (0, 8, 1, 4),
    Mode.CORNERS: (1, 0, 1, 5), Mode.MARKS: (1, 5, 1, 4), Mode.DARK: (1, 9, 1, 3),
}  # fmt: skip


class ProjectionPage(QDialog):
    """Follows the projector. ``opened`` gives the number of the screen; ``shut`` asks for the picture to go."""

    opened = Signal(int)
    shut = Signal()
    screen_chosen = Signal(int)
    screens_changed = Signal()
    key_pressed = Signal(object)

    def __init__(
        self,
        studio: Studio,
        projector: Projector,
        choose_photo: Callable[[QWidget, str], Path | None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._projector = projector
        self._is_open = False
        self.setWindowTitle("Projection")
        self.setModal(False)
        self.screens = QComboBox()
        self.screens.setAccessibleName("Screen to project on")
        self.screens.activated.connect(self.screen_chosen)
        self.about = text(role="note")
        self.go = button("Project", self._open, "primary")
        self.shut_it = button("Take it away", self.shut.emit)
        self.anew = button("Start the corners anew", projector.start_anew)
        self.status = text()
        self.steps = Stepper("value step")
        self.steps.stepped.connect(projector.walk)
        self.brightness = Stepper("brightness")
        self.brightness.stepped.connect(projector.brighten)
        self.weight = Stepper("line weight")
        self.weight.stepped.connect(projector.weigh)
        self.measure = MeasureFold(studio, projector, choose_photo)
        panel = Panel("Projection")
        self._fill(panel.column)
        self._telling = QTimer(self)  # the answer is laid out before it is brought into sight
        self._telling.setSingleShot(True)
        self._telling.timeout.connect(lambda: panel.ensureWidgetVisible(self.measure.mend, 0, 12))
        self.measure.told.connect(self._telling.start)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(panel)
        self.resize(round(look.px(_SIZE[0])), min(round(look.px(_SIZE[1])), 700))
        projector.changed.connect(self.refresh)
        program = QGuiApplication.instance()
        if isinstance(program, QGuiApplication):
            program.screenAdded.connect(self.screens_changed)
            program.screenRemoved.connect(self.screens_changed)
        self.refresh()

    def show_screens(self, places: Sequence[ScreenPlace], chosen: int, own: int, sentence: str) -> None:
        """List the screens; ``own`` is the one this page is on."""
        with QSignalBlocker(self.screens):
            self.screens.clear()
            for index, place in enumerate(places):
                self.screens.addItem(place.says + (" · this one" if index == own else ""))
            self.screens.setCurrentIndex(chosen)
        self.screens.setVisible(len(places) > 1)
        self.about.setText(sentence)
        self.about.setVisible(bool(sentence))

    def show_open(self, is_open: bool) -> None:
        self._is_open = is_open
        self.go.setText("Go to it" if is_open else "Project")
        self.shut_it.setVisible(is_open)
        self.refresh()

    def put_away(self) -> None:
        """For good: the painting is being left."""
        self._telling.stop()
        self.close()

    def refresh(self) -> None:
        projector, throw = self._projector, self._projector.throw
        self.status.setText(projector.sentence or projector.status)
        for mode, each in self.modes.items():
            with QSignalBlocker(each):
                each.setChecked(mode is throw.mode)
        step = min(throw.step, projector.steps - 1)
        self.steps.setVisible(throw.mode is Mode.STEP)
        self.steps.show_number(
            f"step {step + 1} of {projector.steps}", can_less=step > 0, can_more=step < projector.steps - 1
        )
        dims = throw.mode not in (Mode.MARKS, Mode.DARK)
        self.brightness.show_number(
            f"brightness {throw.light * 100:g} %",
            can_less=dims and throw.brightness > 0, can_more=dims and throw.brightness < len(BRIGHTNESSES) - 1,
        )  # fmt: skip
        self.weight.setVisible(throw.mode is Mode.LINES)
        self.weight.show_number(
            f"lines {throw.weight_mm:g} mm", can_less=throw.weight > 0, can_more=throw.weight < len(LINE_WEIGHTS_MM) - 1
        )
        self.anew.setEnabled(projector.projection is not None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The keys of the projected picture work here too; Esc closes this page."""
        if event.key() == Qt.Key.Key_Escape or not self._is_open:
            super().keyPressEvent(event)
        else:
            event.ignore()
            self.key_pressed.emit(event)

    def _open(self) -> None:
        self.opened.emit(max(self.screens.currentIndex(), 0))

    def _fill(self, column: QVBoxLayout) -> None:
        column.addWidget(self.screens)
        column.addWidget(self.about)
        column.addLayout(row(self.go, self.shut_it, stretch=0))
        column.addWidget(self.status)
        column.addWidget(self._modes())
        for part in (self.steps, self.brightness, self.weight, self.anew, self.measure):
            column.addWidget(part)
        column.addStretch(1)

    def _modes(self) -> QWidget:
        box, group = QWidget(), QButtonGroup(self)
        grid = QGridLayout(box)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(6)
        self.modes: dict[Mode, QPushButton] = {}
        for mode, words in _SHORT.items():
            each = QPushButton(words)
            each.setCheckable(True)
            each.setAccessibleName(MODE_WORDS[mode])
            each.clicked.connect(partial(self._show_mode, mode))
            group.addButton(each)
            grid.addWidget(each, *_PLACES[mode])
            self.modes[mode] = each
        return box

    def _show_mode(self, mode: Mode, _checked: bool = False) -> None:
        if mode is Mode.STEP:
            if self._projector.throw.mode is not Mode.STEP:
                self._projector.walk(0)
        else:
            self._projector.show_mode(mode)
