"""The white balance of each picture: which holds now, and a neutral to point at; and the colour of the light on it."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton

from app.questions.fold import Fold
from app.questions.parts import button, flow, text
from app.studio import Studio
from app.temperatures.reading_fold import NAMES
from app.view import Subject

_HOW = (
    "Where a grey or white is known to be neutral, press on it in reference or canvas: that picture is then balanced "
    "by it. Without, passages are compared with each other only; such differences hardly change with the balance."
)
_CAUTION = (
    "That is the light as the camera set it down: its own white balance is in it, so it is the colour of your lamp "
    "only if the camera was set to daylight. Good to some hundred kelvin at best."
)
_BY_NEUTRAL = "by the neutral you pointed at, good to ± {kelvin:.0f} K"
_BY_LIGHT = "by {what} with which the check took the light out, good to ± {kelvin:.0f} K"
_WHAT = {"blank": "the photo of the blank canvas", "card": "the grey or colour chart of known value"}
_FITTED = "the check fitted the light to the reference, so it does not tell"


class BalanceFold(Fold):
    """Follows the neutrals that are kept with the painting, and the studio's findings."""

    point_wanted = Signal()
    remove_wanted = Signal(object)  # Subject

    def __init__(self, studio: Studio) -> None:
        super().__init__("White balance", is_open=False)
        self._studio = studio
        self.point = QPushButton("Press on a neutral")
        self.point.setCheckable(True)
        self.point.clicked.connect(lambda _=False: self.point_wanted.emit())
        self.column.addWidget(text(_HOW, "note"))
        self.column.addWidget(flow(self.point))
        self.holds = {subject: text() for subject in Subject}
        self.light = {subject: text(role="note") for subject in Subject}
        self.remove = {
            subject: button("Take the neutral away", partial(self.remove_wanted.emit, subject)) for subject in Subject
        }
        for subject, name in NAMES.items():
            self.remove[subject].setAccessibleName(f"Take the neutral of the {name.lower()} away")
            for part in (self.holds[subject], self.light[subject], flow(self.remove[subject])):
                self.column.addWidget(part)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        if not (self.isVisible() and self.is_open):
            return
        for subject in Subject:
            has_place = self._studio.warmths.neutral_place(subject) is not None
            self.holds[subject].setText(self._holds(subject))
            light = self._light(subject)
            self.light[subject].setText(light)
            self.light[subject].setVisible(bool(light))
            self.remove[subject].setVisible(has_place)

    def _holds(self, subject: Subject) -> str:
        reads = self._studio.warmths
        name = NAMES[subject]
        if reads.source(subject) is None:
            return f"{name}: {reads.why_not(subject)}"
        neutral = reads.neutral(subject)
        if neutral is None and reads.neutral_place(subject) is not None:
            return f"{name}: the neutral is being read…"
        balance = reads.balance(subject)
        if neutral is not None and neutral.balance is not None:
            return f"{name}: {_BY_NEUTRAL.format(kelvin=balance.kelvin)}."
        if balance.absolute:
            checked = self._studio.checked
            by = "" if checked is None or checked.warmth is None else checked.warmth.light_from
            what = _WHAT.get(by, "the grey, chart or blank")
            return f"{name}: {_BY_LIGHT.format(what=what, kelvin=balance.kelvin)}."
        fitted = subject is Subject.CANVAS and self._studio.lit_canvas is not None
        trouble = "" if neutral is None else f"{neutral.trouble} "
        return (
            f"{trouble}{name}: not known{f': {_FITTED}' if fitted else ''}. Only relations between passages are told."
        )

    def _light(self, subject: Subject) -> str:
        neutral = self._studio.warmths.neutral(subject)
        if neutral is None or neutral.light is None:
            return ""
        if neutral.light.kelvin is None:
            return f"{neutral.light.say()} (Duv {neutral.light.duv:+.3f})"
        duv = f"Duv {neutral.light.duv:+.3f}".replace("-", "−")
        return (
            f"The light on it: {neutral.light.say()}, correlated colour temperature; {duv} (above 0 greenish, below "
            f"pinkish, within 0.006 of daylight or a lamp). {_CAUTION}"
        )
