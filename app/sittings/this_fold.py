"""The sitting at hand: its timer, what was done and with which paint, photos, notes, and what is still to mend."""

from dataclasses import replace
from datetime import datetime

from app.findings import Mend
from app.questions.parts import Stepper, button, flow, text
from app.sittings.coat_part import CoatPart
from app.sittings.day_part import DayPart
from app.sittings.days import at_usual_hour
from app.sittings.fields import NoteField
from app.sittings.fold import SittingFold
from app.sittings.forecast import name_of
from app.sittings.mend_part import MendPart
from app.sittings.photos_part import PhotosPart
from app.sittings.timer_part import TimerPart
from app.sittings.words import coat_words
from app.studio import Studio
from core.mend_weights import MEND_WEIGHTS, MendWeights
from core.sitting.coat import Coat
from core.sitting.log import LoggedSitting
from core.sitting.sitting_photos import BeforeAfter

_NO_PLAN = "Plan a sitting first: this is where what was done in it is noted."
_NO_CHECK = "A check of the canvas photo comes first: its list is taken over here."


class ThisFold(SittingFold):
    """``key``: of the sitting that is shown."""

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "This sitting", is_open=False)
        self.key: int | None = None
        self.says = text()
        self.which, self.timer = Stepper("sitting"), TimerPart(studio)
        self.which.stepped.connect(self._step)
        self.aim = text("", "note")
        self.day = DayPart("painted", "It was today", lambda: self.reads.now().replace(tzinfo=None), hour=False)
        self.day.given.connect(self._give_day)
        self.done = NoteField("What was done", "what was done, such as: the jug and its shadow")
        self.notes = NoteField("Notes", "what to remember")
        self.done.written.connect(lambda key, words: self._write(key, "what was done", done=words))
        self.notes.written.connect(lambda key, words: self._write(key, "the notes", notes=words))
        self.paint, self.paint_button = text(), button("Another paint was used…", self._open_coat)
        self.paint_button.setCheckable(True)
        self.coat = CoatPart(studio)
        self.coat.changed.connect(self._lay)
        self.photos, self.mend = PhotosPart(studio), MendPart()
        self.photos.chosen.connect(self._choose_photos)
        self.mend.ticked.connect(self._tick)
        self.mends, self.take_mend = text("", "note"), button("Take the list of the check", self._take_mend)
        self._rest = (
            self.which, self.aim, self.timer, text("Day", "note"), self.day, text("What was done", "note"), self.done,
            text("Paint", "note"), self.paint, flow(self.paint_button), self.coat, self.photos, text("Notes", "note"),
            self.notes, text("Still to mend", "note"), self.mend, self.mends, flow(self.take_mend),
        )  # fmt: skip
        for part in (self.says, *self._rest):
            self.column.addWidget(part)
        self.coat.hide()
        studio.findings_changed.connect(self.refresh)
        studio.ledge_changed.connect(self.refresh)

    def show_now(self) -> None:
        reads, key = self.reads, self.reads.at_hand
        self.key = key
        self.says.setVisible(key is None)
        self.says.setText(_NO_PLAN)
        for part in self._rest:
            part.setVisible(key is not None and (part is not self.coat or self.paint_button.isChecked()))
        if key is None:
            return
        free, keys, entry = not reads.read_only, reads.keys, reads.entry(key)
        self._show_head(key, entry)
        self.timer.show_timer(key)
        today, began = reads.now().date(), entry.began_on
        at = None if began is None else at_usual_hour(began)
        self.day.show_day(at, today, enabled=free, latest=today)
        self.day.take.setVisible(entry.day is not None and entry.timer.first is None)
        self.done.show_words(key, entry.done, read_only=reads.read_only)
        self.notes.show_words(key, entry.notes, read_only=reads.read_only)
        told = coat_words(entry.coat)
        self.paint.setText(f"{told[:1].upper()}{told[1:]}.")
        self.paint_button.setEnabled(free)
        if self.paint_button.isChecked():
            self.coat.show_coat(entry.coat, enabled=free)
        number = keys.index(key) + 1 if reads.planned(key) is not None else None
        self.photos.show_photos(entry, number, enabled=free)
        self._show_mend(entry, free=free)

    def commit(self) -> None:
        for field in (self.done, self.notes):
            field.commit()

    def _show_head(self, key: int, entry: LoggedSitting) -> None:
        keys, planned = self.reads.keys, self.reads.planned(key)
        at = keys.index(key)
        name = name_of(entry, self.reads.plan)
        if planned is not None:
            name = f"{name} of {len(self.reads.plan.sittings)}"
        self.which.show_number(name, can_less=at > 0, can_more=at < len(keys) - 1)
        self.aim.setText("" if planned is None else planned.aim)
        self.aim.setVisible(bool(self.aim.text()))

    def _show_mend(self, entry: LoggedSitting, *, free: bool) -> None:
        self.mend.show_lines(entry.to_mend, enabled=free)
        found = self._found()
        self.take_mend.setEnabled(free and found is not None)
        if found is None:
            self.mends.setText("" if entry.to_mend else _NO_CHECK)
        elif entry.to_mend:
            self.mends.setText(f"{len(entry.still_to_mend)} of {len(entry.to_mend)} still to mend.")
        else:
            self.mends.setText("")
        self.mends.setVisible(bool(self.mends.text()))

    def _found(self) -> tuple[Mend, ...] | None:
        """The list of the check of the canvas photo that hangs; None where there is none."""
        checked = self.studio.checked
        if checked is None:
            return None
        return checked.findings.mend_by(MendWeights.from_json(self.studio.painting.plan(MEND_WEIGHTS)))

    def _step(self, by: int) -> None:
        self.commit()
        keys = self.reads.keys
        if self.key in keys:
            self.reads.choose(keys[min(max(keys.index(self.key) + by, 0), len(keys) - 1)])

    def _give_day(self, at: datetime | None) -> None:
        self._change("changed the day of a sitting", day=None if at is None else at.date())

    def _lay(self, coat: Coat) -> None:
        """Paint that was used: it counts from the sitting's day on, which is today where none is told."""
        if self.key is None:
            return
        entry = self.reads.entry(self.key)
        day = entry.day if entry.begun else self.reads.now().date()
        self._change("changed the paint that was used", coat=coat, day=day)

    def _choose_photos(self, photos: BeforeAfter) -> None:
        self._change("chose the photos of a sitting", before=photos.before, after=photos.after)

    def _tick(self, place: int, mended: bool) -> None:
        if self.key is not None:
            label = "ticked off what was mended" if mended else "opened a line to mend again"
            self._keep(self.reads.entry(self.key).ticked(place, mended), label)

    def _take_mend(self) -> None:
        found, photo = self._found(), self.studio.canvas_photo
        if self.key is not None and found is not None and photo is not None:
            entry = self.reads.entry(self.key).to_mend_from([each.say for each in found], photo.id)
            self._keep(entry, "took over what is to mend")

    def _open_coat(self) -> None:
        self.refresh()

    def _write(self, key: int, what: str, **words: str) -> None:
        if key in self.reads.keys:
            self._keep(replace(self.reads.entry(key), **words), f"noted {what}")  # type: ignore[arg-type]

    def _change(self, label: str, **changes: object) -> None:
        self.commit()
        if self.key is not None:
            entry: LoggedSitting = replace(self.reads.entry(self.key), **changes)  # type: ignore[arg-type]
            self._keep(entry, label)

    def _keep(self, entry: LoggedSitting, label: str) -> None:
        """What is worked on stays at hand, though the next one may be likelier then."""
        if self.reads.chosen not in self.reads.keys and self.key == entry.key:
            self.reads.chosen = entry.key
        self.reads.keep_entry(entry, label)
