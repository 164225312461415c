"""The plan: the sittings in their order, each with what goes against fat over lean under it."""

from collections.abc import Iterable

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.questions.parts import Line, button, flow, text
from app.sittings.fold import SittingFold
from app.sittings.sitting_part import SittingPart
from app.sittings.words import beginning, coat_words, first_up, length_words, warned, weekday
from app.studio import Studio
from core.sitting.layering import LayerWarning
from core.sitting.plan import SITTING_PLAN, PlannedSitting

_HOW = "No sittings are planned yet. Begin with the usual four and change them, or add your own one by one."
_FOUR = "Two thin and quick, one long, one of small corrections: common practice, no source."

_Card = tuple[int, int, str, str, tuple[LayerWarning, ...]]


class PlanFold(SittingFold):
    """``chosen``: key of the sitting that is open, or None."""

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Plan")
        self.chosen: int | None = None
        self._shown: object = None
        self.says = text(_HOW)
        self.begin = button("Begin with the usual four", self._begin, "primary")
        self.four = text(_FOUR, "note")
        self.told = text()
        self.cards = QWidget()
        self._rows = QVBoxLayout(self.cards)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(4)
        self.lines: list[Line] = []
        self.part = SittingPart(studio, self.cards)
        self.part.hide()
        self.add = button("Add a sitting", self._add)
        self.whole, self.unknown = text("", "note"), text("", "note")
        for part in (
            self.told, self.says, flow(self.begin), self.four, self.cards, flow(self.add), self.whole, self.unknown,
        ):  # fmt: skip
            self.column.addWidget(part)

    def show_now(self) -> None:
        reads = self.reads
        plan, free = reads.plan, not reads.read_only and SITTING_PLAN not in reads.kept.locked
        keys = [each.key for each in plan.sittings]
        self.chosen = self.chosen if self.chosen in keys else None
        cards = self._told()
        if (cards, self.chosen) != self._shown:
            self._shown = cards, self.chosen
            self._build(cards)
        if self.chosen is not None:
            self.part.show_sitting(plan.of(self.chosen))
        self.told.setText(" ".join(reads.kept.told))
        self.told.setVisible(bool(reads.kept.told))
        for part in (self.says, self.begin, self.four):
            part.setVisible(not keys)
        self.begin.setEnabled(free)
        self.add.setEnabled(free)
        self.cards.setVisible(bool(keys))
        self.whole.setVisible(bool(keys))
        count = f"{len(keys)} sitting{'s' if len(keys) != 1 else ''}"
        self.whole.setText(f"{count}, {length_words(plan.minutes)} in all.")
        unknown = reads.not_weighed()
        self.unknown.setText(unknown)
        self.unknown.setVisible(bool(unknown))

    def commit(self) -> None:
        self.part.aim.commit()

    def _told(self) -> list[_Card]:
        plan, warnings = self.reads.plan, self.reads.warnings()
        return [
            (
                each.key,
                number,
                each.aim or "No aim yet",
                self._paint(each),
                tuple(warning for warning in warnings if warning.above == each.key),
            )
            for number, each in enumerate(plan.sittings, start=1)
        ]

    def _paint(self, sitting: PlannedSitting) -> str:
        """Paint, length and day: as it was, where it was painted."""
        reads = self.reads
        entry, today = reads.entry(sitting.key), reads.now().date()
        told = [first_up(coat_words(entry.coat)), length_words(sitting.minutes)]
        begins = reads.kept.days.of(sitting.key)
        if entry.begun:
            began = entry.began_on
            told.append("painted" if began is None else f"painted {weekday(began, today)}")
        elif begins is not None:
            told.append(beginning(begins, today))
        return " · ".join(told)

    def _build(self, cards: Iterable[_Card]) -> None:
        at = next((place for place, line in enumerate(self.lines) if line.hasFocus()), None)
        self._rows.removeWidget(self.part)
        self.part.hide()
        while self._rows.count():
            widget = self._rows.takeAt(0).widget()  # type: ignore[union-attr]
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.lines = []
        for key, number, aim, paint, warnings in cards:
            line = Line(number, aim, paint)
            line.setChecked(key == self.chosen)
            line.clicked.connect(lambda _=False, key=key: self._choose(key))
            self.lines.append(line)
            self._rows.addWidget(line)
            for warning in warnings:
                self._warn(warning, whole=key == self.chosen)
            if key == self.chosen:
                self._rows.addWidget(self.part)
                self.part.show()
        if at is not None and at < len(self.lines):
            self.lines[at].setFocus()

    def _warn(self, warning: LayerWarning, *, whole: bool) -> None:
        """Under its sitting; why, and the source, where the sitting is open."""
        self._rows.addWidget(text(warned(warning), "sentence"))
        if whole:
            self._rows.addWidget(text(f"{warning.why} Source: {warning.source}.", "note"))

    def _choose(self, key: int) -> None:
        self.commit()
        self.chosen = None if key == self.chosen else key
        self.refresh()

    def _begin(self) -> None:
        self.reads.begin()

    def _add(self) -> None:
        self.commit()
        plan = self.reads.plan if self.reads.plan.sittings else self.reads.empty_plan
        self.chosen = plan.next_key
        if not self.reads.keep_plan(plan.added(), "added a sitting"):
            self.chosen = None
        self.refresh()
