"""Which palette is laid out, what is on it, and palettes of the painter's own."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QVBoxLayout, QWidget

from app.mixing.fold import MixFold
from app.mixing.tube_line import TubeLine
from app.mixing.words import cautions_said
from app.questions.parts import button, flow, text
from app.studio import Studio
from core.errors import PainterError, PaintError

MOST_NAME = 40
_OWN = (
    "Press on tubes to lay them out or take them off, give the palette a name, and keep it. It is there for every "
    "painting."
)


class PaletteFold(MixFold):
    """``refused``: why a palette cannot be, in a sentence."""

    refused = Signal(str)
    removed = Signal(object)  # Palette

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Palette")
        self.choice = QComboBox()
        self.choice.setAccessibleName("Palette")
        self.choice.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.choice.setMinimumContentsLength(14)
        self.choice.activated.connect(lambda index: self.set_view(palette=self.choice.itemText(index)))
        self._laid: list[str] | None = None
        self._lines: list[TubeLine] = []
        self._shown: object = None
        self.name = QLineEdit()
        self.name.setMaxLength(MOST_NAME)
        self.name.setAccessibleName("Name of the palette")
        self.name.setPlaceholderText("name it, such as: mine")
        self.edit, self.remove = button("Lay out another…", self._begin), button("Take it away", self._remove)
        self.keep, self.leave = button("Keep it", self._keep, "primary"), button("Leave it", self._leave)
        self.how = text(_OWN)
        self.cautions = text("", "note")
        self._tubes = QWidget()
        self._rows = QVBoxLayout(self._tubes)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(2)
        self.viewing, self.editing = flow(self.edit, self.remove), flow(self.keep, self.leave)
        for part in (self.choice, self.how, self.name, self.editing, self._tubes, self.viewing, self.cautions):
            self.column.addWidget(part)

    @property
    def lines(self) -> tuple[TubeLine, ...]:
        return tuple(self._lines)

    def show_now(self) -> None:
        box, palette = self.reads.box.held, self.reads.palette
        with QSignalBlocker(self.choice):
            self.choice.clear()
            self.choice.addItems([each.name for each in box.palettes])
            self.choice.setCurrentText(palette.name)
        if self._laid is not None:  # a tube of one's own may have been taken away meanwhile
            self._laid = [name for name in self._laid if name in box.tubes]
        laying = self._laid is not None
        self.remove.setEnabled(not _is_given(palette.name))
        for part, seen in (
            (self.choice, not laying), (self.viewing, not laying), (self.how, laying), (self.name, laying),
            (self.editing, laying),
        ):  # fmt: skip
            part.setVisible(seen)
        self._show_tubes(list(box.tubes) if laying else list(palette.tubes))
        laid = palette.tubes if self._laid is None else self._laid
        for line in self._lines:
            line.setChecked(laying and line.tube.name in laid)
        told = cautions_said(box.tubes[name] for name in laid)
        self.cautions.setText(told)
        self.cautions.setVisible(bool(told))

    def _show_tubes(self, names: list[str]) -> None:
        key = (names, self._laid is None, self.reads.box.edition)
        if key == self._shown:
            return
        self._shown = key
        for line in self._lines:
            self._rows.removeWidget(line)
            line.hide()
            line.deleteLater()
        held = self.reads.box.held.tubes
        self._lines = [TubeLine(held[name], held, pressable=self._laid is not None) for name in names]
        for line in self._lines:
            line.clicked.connect(lambda on=False, line=line: self._lay(line.tube.name, on))
            self._rows.addWidget(line)

    def _begin(self) -> None:
        """Lay out another palette, from the present one."""
        self._laid = list(self.reads.palette.tubes)
        self.name.clear()
        self.refresh()
        self.name.setFocus()

    def _lay(self, name: str, on: bool) -> None:
        if self._laid is None:
            return
        self._laid = [*self._laid, name] if on else [each for each in self._laid if each != name]
        self.refresh()

    def _keep(self) -> None:
        from core.paint.palette import Palette

        assert self._laid is not None
        box = self.reads.box
        try:
            palette = Palette.of(self.name.text(), self._laid, box.held.tubes)
            if any(each.name.casefold() == palette.name.casefold() for each in box.held.palettes):
                raise PaintError(f"There is a palette “{palette.name}” already. Give this one another name.")
            kept = box.keep(box.held.with_palette(palette))
        except PainterError as trouble:
            self.refused.emit(str(trouble))
            return
        if kept:
            self._laid = None
            self.set_view(palette=palette.name)
            self.refresh()

    def _leave(self) -> None:
        self._laid = None
        self.refresh()

    def _remove(self) -> None:
        box, palette = self.reads.box, self.reads.palette
        try:
            if box.keep(box.held.without_palette(palette.name)):
                self.removed.emit(palette)
        except PainterError as trouble:
            self.refused.emit(str(trouble))
        self.refresh()


def _is_given(name: str) -> bool:
    """Whether a palette came with the program; those stay."""
    from core.paint.palette import palettes

    return any(each.name == name for each in palettes())
