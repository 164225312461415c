"""Under the pointer: each picture's warmth against what lies round the place; and how large that surround is."""

from dataclasses import replace

from PySide6.QtGui import QAction

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import Stepper, flow, text
from app.studio import Studio
from app.temperatures.settings import SURROUNDS_MM, Temperatures, nearest
from app.temperatures.words import WHAT_IT_IS, against, own
from app.view import Subject
from core.words import signed

NAMES = {Subject.REFERENCE: "Reference", Subject.CANVAS: "Canvas"}


class SurroundStepper(Stepper):
    """How much lies round a place, kept with the view; several may stand in the panel."""

    def __init__(self, studio: Studio) -> None:
        super().__init__("surround")
        self._studio = studio
        self.stepped.connect(lambda by: set_warmth(studio, studio.view.temperatures.surround_by(by)))

    def refresh(self) -> None:
        at = nearest(SURROUNDS_MM, self._studio.view.temperatures.surround_mm)
        self.show_number(f"surround {SURROUNDS_MM[at]:g} mm", can_less=at > 0, can_more=at < len(SURROUNDS_MM) - 1)


class ReadingFold(Fold):
    """Follows the pointer."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Under the pointer")
        self._studio = studio
        self.figures = {subject: text("–", "figure") for subject in Subject}
        self.says = {subject: text() for subject in Subject}
        self.surround = SurroundStepper(studio)
        for subject, name in NAMES.items():
            self.figures[subject].setAccessibleName(f"Warmth of the {name.lower()} under the pointer")
            for part in (text(name, "note"), self.figures[subject], self.says[subject]):
                self.column.addWidget(part)
        self.column.addWidget(flow(KeyButton.of(actions["numbers_at_pointer"], "On the wall")))
        self.column.addWidget(self.surround)
        self.column.addWidget(text(WHAT_IT_IS, "note"))
        self._at: tuple[float, float] | None = None

    def refresh(self) -> None:
        if not self.isVisible():
            return
        self.surround.refresh()
        for subject in Subject:
            if not self._studio.warmths.why_not(subject):
                self._studio.warmths.around(subject)  # so that it is there when the pointer comes
        self.show_at(self._at)

    def show_at(self, at: tuple[float, float] | None) -> None:
        """What is read at a point of the canvas; None when the pointer is off it."""
        self._at = at
        if not self.isVisible():
            return  # nothing is read for a panel that is not open
        for subject in Subject:
            figure, says = self._read(subject, at)
            self.figures[subject].setText(figure)
            self.says[subject].setText(says)
            self.says[subject].setVisible(bool(says))

    def _read(self, subject: Subject, at: tuple[float, float] | None) -> tuple[str, str]:
        reads = self._studio.warmths
        why_not = reads.why_not(subject)
        if why_not or at is None:
            return "–", why_not
        found = reads.against_surround(subject, *at)
        if found is None:
            reading = reads.sheet(subject) is None or reads.around(subject) is None
            return "–", "Being read…" if reading else "Cannot be judged here: glare, or out of the picture."
        pin, relation = found
        itself = own(pin, reads.balance(subject))
        return signed(relation.difference), f"{against(relation)}{f' {itself}.' if itself else ''}"


def set_warmth(studio: Studio, settings: Temperatures) -> None:
    studio.change_view(replace(studio.view, temperatures=settings))
