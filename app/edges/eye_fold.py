"""As the eye sees it: the reference softened away from where the eye rests, and the plan made by that."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox, QSlider

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.hung import distance_words
from app.edges.kept import with_eye
from app.edges.settings import STRENGTHS, VIEWINGS_MM
from app.edges.words import ACUITY
from app.questions.parts import Stepper, flow, text
from app.stepping import can_step, stepped
from app.studio import Studio
from core.edge.brief import EyeSettings

_NEEDS_FOCUS = "The eye has to rest somewhere: put a focal point first."
_BY_EYE = (
    "Planned so, an edge is as hard as the eye sees it from there, and lost where it can no longer follow it; distance "
    "and contrast are not counted beside that."
)


class EyeFold(EdgeFold):
    """Follows the eye of the plan, or while that has none, how it is looked at."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "As the eye sees it", is_open=False)
        self.viewing, self.strength_says = Stepper("viewing distance"), text(role="note")
        self.viewing.stepped.connect(self._step)
        self.strength = QSlider(Qt.Orientation.Horizontal)
        self.strength.setRange(0, len(STRENGTHS) - 1)
        self.strength.setPageStep(1)
        self.strength.setAccessibleName("How strong the eye’s blur is shown")
        self.strength.valueChanged.connect(self._moved)
        self.strength.sliderReleased.connect(self._released)
        self.by_eye = QCheckBox("Plan by what the eye sees")
        self.by_eye.toggled.connect(self._plan_by_eye)
        self.needs = text(_NEEDS_FOCUS)
        self.column.addWidget(flow(KeyButton.of(actions["seen"], "As the eye sees it")))
        for part in (
            self.needs, self.viewing, self.strength_says, self.strength, self.by_eye, text(_BY_EYE, "note"),
            text(ACUITY, "note"),
        ):  # fmt: skip
            self.column.addWidget(part)

    def show_now(self) -> None:
        eye = self.studio.edges.eye
        self.needs.setVisible(not self.brief.foci)
        self.viewing.show_number(
            f"from {distance_words(eye.viewing_mm)}",
            can_less=can_step(VIEWINGS_MM, eye.viewing_mm, -1),
            can_more=can_step(VIEWINGS_MM, eye.viewing_mm, 1),
        )
        with QSignalBlocker(self.strength), QSignalBlocker(self.by_eye):
            if not self.strength.isSliderDown():
                self.strength.setValue(min(range(len(STRENGTHS)), key=lambda k: abs(STRENGTHS[k] - eye.strength)))
                self._say_strength(eye.strength)
            self.by_eye.setChecked(self.brief.eye is not None)

    def _say_strength(self, strength: float) -> None:
        means = {0.0: "sharp all over", 1.0: "as the eye is"}.get(strength, f"{strength:g} times as blurred")
        self.strength_says.setText(f"Strength {strength:g}: {means}.")

    def _step(self, by: int) -> None:
        eye = self.studio.edges.eye
        self._set(replace(eye, viewing_mm=stepped(VIEWINGS_MM, eye.viewing_mm, by)))

    def _moved(self, at: int) -> None:
        self._say_strength(STRENGTHS[at])
        if not self.strength.isSliderDown():
            self._released()

    def _released(self) -> None:
        eye, strength = self.studio.edges.eye, STRENGTHS[self.strength.value()]
        if strength != eye.strength:
            self._set(replace(eye, strength=strength))

    def _set(self, eye: EyeSettings) -> None:
        self.set_view(viewing_mm=eye.viewing_mm, strength=eye.strength)
        if self.brief.eye is not None:
            self.brief_wanted.emit(with_eye(self.brief, eye), "changed how the eye is placed")
        self.refresh()

    def _plan_by_eye(self, on: bool) -> None:
        label = "planned by what the eye sees" if on else "planned by distance"
        self.brief_wanted.emit(with_eye(self.brief, self.studio.edges.eye if on else None), label)
