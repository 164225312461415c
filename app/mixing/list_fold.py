"""The mixing list of the sitting: mixes with their names, the tubes they need, and the page of them."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QLineEdit

from app.mixing.fold import MixFold
from app.mixing.kept import MOST_NAME, Mix
from app.mixing.words import first_up, missed, parts_said, steps_said
from app.questions.paper import PaperBox
from app.questions.parts import Line, Lines, button, flow, text
from app.studio import Studio
from core.errors import PainterError

_HOW = "Nothing is on the list yet. Mix a passage, and put it on the list."


class ListFold(MixFold):
    """``chosen_changed``: another mix is marked on the wall. ``go_to``: a place, x, y and how much is seen, mm."""

    go_to = Signal(float, float, float)
    chosen_changed = Signal()
    remove_wanted = Signal(int)
    remove_all_wanted = Signal()
    name_wanted = Signal(int, str)
    page_wanted = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Mixing list")
        self.chosen: int | None = None
        self._shown: list[tuple[int, str, str]] = []
        self._named = 0
        self._near: dict[tuple[Mix, int], str] = {}
        self.says, self.lines = text(_HOW), Lines()
        self.lines.chosen.connect(self._choose)
        self.name = QLineEdit(self.lines)
        self.name.hide()
        self.name.setMaxLength(MOST_NAME)
        self.name.setPlaceholderText("name it, such as: linen in the light")
        self.name.editingFinished.connect(self._name)
        self.shown = QCheckBox("Show them on the wall")
        self.shown.toggled.connect(lambda on: self.set_view(pins=on))
        self.remove, self.remove_all = button("Take it off", self._remove), button("Take all off", self._remove_all)
        self.needs = text("", "note")
        self.paper = PaperBox()
        self.paper.chosen.connect(lambda name: self.set_view(paper=name))
        self.page = button("Print the list…", self.page_wanted.emit)
        for part in (
            self.says, self.lines, self.shown, flow(self.remove, self.remove_all), self.needs, self.paper,
            flow(self.page),
        ):  # fmt: skip
            self.column.addWidget(part)

    def show_now(self) -> None:
        mixes = self.reads.mixes.mixes
        numbers = [mix.number for mix in mixes]
        self.chosen = self.chosen if self.chosen in numbers else None
        with QSignalBlocker(self.shown):
            self.shown.setChecked(self.settings.pins)
        told = [(mix.number, self._said(mix), self._how_near(mix)) for mix in mixes]
        if told != self._shown:
            self._shown = told
            self.name.setParent(self)
            self.lines.show_lines([Line(*each) for each in told])
        self.lines.mark(numbers.index(self.chosen) if self.chosen in numbers else None)
        self._show_name(numbers)
        self.says.setVisible(not mixes)
        for part in (self.shown, self.remove_all, self.needs, self.paper, self.page):
            part.setVisible(bool(mixes))
        self.remove.setVisible(self.chosen is not None)
        self.needs.setText(f"Tubes for it, most used first: {', '.join(self.reads.mixes.tubes)}.")
        self.paper.show_paper(self.settings.paper)

    def _said(self, mix: Mix) -> str:
        steps = steps_said(mix.whole, self.reads.box.held.tubes)
        return f"{first_up(mix.told)}: {parts_said(mix.whole)}" + (f". {steps}" if steps else "")

    def _how_near(self, mix: Mix) -> str:
        """Worked out once for each mix, as long as the tubes stay what they are."""
        key = mix, self.reads.box.edition
        if key not in self._near:
            self._near[key] = self._told_near(mix)
        return self._near[key]

    def _told_near(self, mix: Mix) -> str:
        from core.paint.recipe import recipe_of
        from core.paint.target import Target

        try:
            target = Target.of_linear(mix.light, within_srgb=False)
            return missed(recipe_of(target, mix.whole, self.reads.box.held.tubes))
        except PainterError as trouble:
            return str(trouble).split(". ")[0]

    def _choose(self, index: int) -> None:
        self._name()
        number = self._shown[index][0]
        self.chosen = None if number == self.chosen else number
        mix = self.reads.mixes.mix(number)
        if mix is not None and mix.at is not None and self.chosen is not None:
            self.go_to.emit(*mix.at, max(4 * mix.span_mm, 40.0))
        self.chosen_changed.emit()
        self.refresh()

    def _show_name(self, numbers: list[int]) -> None:
        """The field for a name, under the line that is chosen."""
        mix = None if self.chosen is None else self.reads.mixes.mix(self.chosen)
        self.name.setVisible(mix is not None)
        if mix is None:
            self._named = 0
            return
        self.lines.put_under(numbers.index(mix.number), self.name)
        if self._named != mix.number or not (self.name.hasFocus() and self.name.isModified()):
            self._named = mix.number
            self.name.setText(mix.name)
            self.name.setAccessibleName(f"Name of {mix.told}")
        self.name.setReadOnly(self.studio.painting.read_only)

    def _name(self) -> None:
        if self._named and self.name.isModified():
            self.name.setModified(False)
            self.name_wanted.emit(self._named, self.name.text())

    def _remove(self) -> None:
        if self.chosen is not None:
            self.remove_wanted.emit(self.chosen)

    def _remove_all(self) -> None:
        self.remove_all_wanted.emit()
