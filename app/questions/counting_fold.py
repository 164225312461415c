"""What counts most in the list to mend: a stepper for each question."""

from dataclasses import fields, replace

from PySide6.QtWidgets import QWidget

from app.questions.fold import Fold
from app.questions.parts import Stepper, button, text
from app.studio import Studio
from core.errors import PainterError
from core.mend_weights import MEND_WEIGHTS, USUAL_WEIGHTS, MendWeights

_TIMES = ((0.25, "¼"), (0.5, "½"), (1.0, "1"), (2.0, "2"), (4.0, "4"), (8.0, "8"))
_INTRO = (
    "A fault counts by how far it is beyond what is worth mending, and by how large it is; then times this. "
    "The printed sheet follows with the next check."
)


class CountingFold(Fold):
    """Changes are kept with the painting, as one step each that can be undone."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__("What counts most", is_open=False, parent=parent)
        self._studio = studio
        self.column.addWidget(text(_INTRO, "note"))
        self.steppers: dict[str, Stepper] = {}
        for question in (each.name for each in fields(MendWeights)):
            made = self.steppers[question] = Stepper(f"{question} counts")
            made.stepped.connect(lambda by, question=question: self.step(question, by))
            self.column.addWidget(made)
        self.usual = button("As usual", lambda: self._keep(USUAL_WEIGHTS))
        self.column.addWidget(self.usual)
        self.refresh()

    @property
    def weights(self) -> MendWeights:
        """How the questions of this painting count."""
        return MendWeights.from_json(self._studio.painting.plan(MEND_WEIGHTS))

    def refresh(self) -> None:
        weights, may = self.weights, not self._studio.painting.read_only
        for question, stepper in self.steppers.items():
            at = _nearest(weights.of(question))
            says = f"{question.capitalize()}  × {_TIMES[at][1]}"
            stepper.show_number(says, can_less=may and at > 0, can_more=may and at + 1 < len(_TIMES))
        self.usual.setEnabled(may and weights != USUAL_WEIGHTS)

    def step(self, question: str, by: int) -> None:
        at = min(max(_nearest(self.weights.of(question)) + by, 0), len(_TIMES) - 1)
        self._keep(replace(self.weights, **{question: _TIMES[at][0]}))

    def _keep(self, weights: MendWeights) -> None:
        try:
            self._studio.painting.set_plan(MEND_WEIGHTS, weights.to_json(), label="weighed the list to mend")
        except PainterError as trouble:
            self._studio.said.emit(str(trouble))


def _nearest(weight: float) -> int:
    return min(range(len(_TIMES)), key=lambda n: abs(_TIMES[n][0] - weight))
