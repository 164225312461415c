"""Pins: the warmth of several passages at once, from warm to cool, each against the next or against one of them."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QLineEdit, QPushButton, QRadioButton

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, button, flow, text
from app.studio import Studio
from app.temperatures.kept import MOST_NAME
from app.temperatures.reading_fold import NAMES, set_warmth
from app.temperatures.words import own
from app.view import Subject

if TYPE_CHECKING:
    from app.temperatures.reads import ReadPins

_HOW = (
    "Press on passages in reference or canvas: each pin reads 6 mm across, at the same place in both pictures. Press a "
    "line to compare the others with it."
)
_SPAN_MM = 40.0


class PinsFold(Fold):
    """Follows the pins that are kept with the painting, and the pictures they are read in."""

    go_to = Signal(float, float, float)
    point_wanted = Signal()
    remove_wanted = Signal(int)
    remove_all_wanted = Signal()
    name_wanted = Signal(int, str)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Pins")
        self._studio = studio
        self.chosen: int | None = None
        self._shown: list[tuple[int, str, str]] = []
        self.point = QPushButton("Press on passages")
        self.point.setCheckable(True)
        self.point.clicked.connect(lambda _=False: self.point_wanted.emit())
        self.of = {subject: QRadioButton(f"In the {name.lower()}") for subject, name in NAMES.items()}
        group = QButtonGroup(self)
        for subject, radio in self.of.items():
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, subject=subject: self._read_in(subject))
        self.says, self.lines = text(_HOW, "note"), Lines()
        self.lines.chosen.connect(self._choose)
        self.name, self._named = QLineEdit(self.lines), 0  # the pin whose name is in the field
        self.name.hide()
        self.name.setMaxLength(MOST_NAME)
        self.name.setPlaceholderText("name it, such as: wall")
        self.name.editingFinished.connect(self._name)
        self.name.returnPressed.connect(self._name_and_go_on)
        self.shown = QCheckBox("Show the pins on the wall")
        self.shown.toggled.connect(lambda on: self._set(pins=on))
        self.remove = button("Take it away", self._remove)
        self.remove_all = button("Take all away", self.remove_all_wanted.emit)
        self.column.addWidget(flow(self.point, KeyButton.of(actions["pin_warmth"], "Pin at the pointer")))
        self.column.addWidget(flow(*self.of.values()))
        for part in (self.says, self.lines, self.shown, flow(self.remove, self.remove_all)):
            self.column.addWidget(part)
        self.heading.toggled.connect(self.refresh)

    @property
    def subject(self) -> Subject:
        """The picture that the pins are compared in."""
        wants_canvas = self._studio.view.temperatures.of_canvas
        has_canvas = self._studio.warmths.source(Subject.CANVAS) is not None
        return Subject.CANVAS if wants_canvas and has_canvas else Subject.REFERENCE

    def refresh(self) -> None:
        if not (self.isVisible() and self.is_open):
            return
        studio, reads = self._studio, self._studio.warmths
        places = {place.number for place in reads.pins.places}
        self.chosen = self.chosen if self.chosen in places else None
        with QSignalBlocker(self.shown), QSignalBlocker(self.of[self.subject]):
            self.shown.setChecked(studio.view.temperatures.pins)
            self.of[self.subject].setChecked(True)
        self.of[Subject.CANVAS].setEnabled(reads.source(Subject.CANVAS) is not None)
        why_not = reads.why_not(self.subject)
        self.says.setText(why_not or _HOW)
        self._show([] if why_not else self._told())
        self._show_name()
        self.shown.setVisible(bool(places))
        self.remove.setVisible(self.chosen is not None)
        self.remove_all.setVisible(bool(places))

    def _show(self, told: list[tuple[int, str, str]]) -> None:
        if told != self._shown:
            before, self._shown = self._shown, told
            if [number for number, _, _ in before] == [number for number, _, _ in told]:
                # Not made anew: a name is finished by pressing on another line, which must still be there.
                for line, (_, say, kind) in zip(self.lines.lines, told, strict=True):
                    line.tell(say, kind)
            else:
                has_keys = next((n for n, line in enumerate(self.lines.lines) if line.hasFocus()), None)
                self.lines.show_lines([Line(*each) for each in told])
                if has_keys is not None and told:
                    self.lines.lines[min(has_keys, len(told) - 1)].setFocus()
        numbers = [number for number, _, _ in told]
        self.lines.mark(numbers.index(self.chosen) if self.chosen in numbers else None)

    def _told(self) -> list[tuple[int, str, str]]:
        """Number, what is said of it, and what stands small under that, from warm to cool."""
        reads, subject = self._studio.warmths, self.subject
        found, names = reads.chain(subject), {place.number: place.name for place in reads.pins.places}
        other = Subject.REFERENCE if subject is Subject.CANVAS else Subject.CANVAS
        beside = None if reads.why_not(other) else reads.chain(other)
        numbers = found.numbers
        told = []
        for number, pin in found.pins.items():
            against = self.chosen if self.chosen in numbers else _next(numbers, number)
            says = self._against(found, number, against, subject)
            kind = [own(pin, reads.balance(subject))]
            if beside is not None and against is not None and against != number:
                there = self._against(beside, number, against, other)
                kind.append(f"In the {NAMES[other].lower()}: {there}" if there else "")
            told.append((number, _of(names[number], says), " · ".join(part for part in kind if part)))
        return told + [(number, _of(names[number], "cannot be read here"), "") for number in found.unread]

    def _against(self, found: "ReadPins", number: int, against: int | None, subject: Subject) -> str:
        """One pin against another of the same picture, in words."""
        from core.temperature.pins import relation

        pins = found.pins
        if against == number:
            return "the others are told against this one"
        if against is None:
            return "the coolest" if len(pins) > 1 else "pin another passage to compare it with"
        if number not in pins or against not in pins:
            return ""
        told = relation(pins[number], pins[against], balance=self._studio.warmths.balance(subject))
        return replace(told, one="").say()

    def _choose(self, index: int) -> None:
        self._name()
        number = self._shown[index][0]
        self.chosen = None if number == self.chosen else number
        place = next(place for place in self._studio.warmths.pins.places if place.number == number)
        self.go_to.emit(*place.at, _SPAN_MM)
        self._studio.wall_changed.emit()
        self.refresh()

    def _show_name(self) -> None:
        """The field for a name, under the line of the pin that is chosen."""
        at = next((n for n, (number, _, _) in enumerate(self._shown) if number == self.chosen), None)
        self.name.setVisible(at is not None)
        if at is None:
            self._named = 0
            return
        self.lines.put_under(at, self.name)
        place = next(place for place in self._studio.warmths.pins.places if place.number == self.chosen)
        if self._named != place.number or not (self.name.hasFocus() and self.name.isModified()):
            self._named = place.number
            self.name.setText(place.name)
            self.name.setAccessibleName(f"Name of pin {place.number}")
        self.name.setReadOnly(self._studio.painting.read_only)

    def _name(self) -> None:
        """What was typed is the name of the pin it was typed for."""
        if self._named and self.name.isModified():
            self.name.setModified(False)
            self.name_wanted.emit(self._named, self.name.text())
            self._show_name()

    def _name_and_go_on(self) -> None:
        """Keys are the window's again."""
        at = next((n for n, (number, _, _) in enumerate(self._shown) if number == self._named), None)
        if at is not None:
            self.lines.lines[at].setFocus()

    def _remove(self) -> None:
        if self.chosen is not None:
            self.remove_wanted.emit(self.chosen)

    def _read_in(self, subject: Subject) -> None:
        self._set(of_canvas=subject is Subject.CANVAS)

    def _set(self, **changes: bool) -> None:
        set_warmth(self._studio, replace(self._studio.view.temperatures, **changes))  # type: ignore[arg-type]
        self.refresh()


def _of(name: str, says: str) -> str:
    """With the name of what it is said of, where that has one."""
    return f"{name}: {says}" if name else says


def _next(numbers: tuple[int, ...], number: int) -> int | None:
    at = numbers.index(number) + 1
    return numbers[at] if at < len(numbers) else None
