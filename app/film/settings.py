"""The settings beside the film: its times, its size, its light, and what is written and drawn over it."""

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QVBoxLayout, QWidget

from app.film.choice import Choice, Kind
from app.printing.number_field import NumberField
from app.questions.parts import text
from core.progress_film.film import FilmSettings, LightOf, Order, Over

_WIDTHS = (640, 960, 1280, 1920, 2560, 3840)
_ORDERS = {Order.GIVEN: "From the first sitting to the last", Order.BACKWARDS: "From the last sitting back"}
_LIGHTS = {LightOf.LAST: "Light of the film’s last photo", LightOf.FIRST: "Light of the film’s first photo"}
_OVERS = {
    None: "No drawing over it",
    Over.ALL: "The drawing over all photos",
    Over.FIRST: "The drawing over the first photo",
    Over.LAST: "The drawing over the last photo",
}
_KINDS = {
    Kind.WEBM: "WebM film",
    Kind.MP4: "MP4 film",
    Kind.WEBP: "Moving picture (WebP)",
}
_CHECKS = {
    "titles": "Sitting and day beneath the picture",
    "steady": "Held still by what is painted",
    "even": "All photos in one light",
}
_FADE = "A cross-fade of 0 steps from photo to photo."
_NO_DRAWING = "There is no line drawing to lay over."


class Settings(QWidget):
    """``choice`` gives what is set; ``changed`` says that it may be another."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kept = FilmSettings()
        self.stand = NumberField("Each photo stands", "s", "1.5")
        self.fade = NumberField("Cross-fade", "s", "0.75")
        self.hold = NumberField("The last stands longer by", "s", "2")
        self.width_box = drop_down("Width of the film")
        self.order = drop_down("Order of the photos", _ORDERS.values())
        self.light = drop_down("The light that all are brought to", _LIGHTS.values())
        self.over = drop_down("The drawing over the film", _OVERS.values())
        self.kind = drop_down("Kind of file", _KINDS.values())
        self.checks = {name: QCheckBox(words) for name, words in _CHECKS.items()}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        parts: tuple[QWidget, ...] = (
            text("Times", "subheading"),
            *(self.stand, self.fade, self.hold, text(_FADE, "note"), self.order),
            text("Picture", "subheading"),
            *(self.width_box, self.checks["titles"], self.over),
            text("Photos beside one another", "subheading"),
            *(self.checks["steady"], self.checks["even"], self.light),
            text("File", "subheading"),
            self.kind,
        )
        for part in parts:
            column.addWidget(part)
        for field in (self.stand, self.fade, self.hold):
            field.changed.connect(self.changed)
        for box in (self.width_box, self.order, self.light, self.over, self.kind):
            box.currentIndexChanged.connect(lambda _: self._change())
        for check in self.checks.values():
            check.toggled.connect(lambda _: self._change())

    def show_choice(self, choice: Choice) -> None:
        """Show what is kept."""
        film = self._kept = choice.film
        with QSignalBlocker(self):
            for field, number in ((self.stand, film.stand_s), (self.fade, film.fade_s), (self.hold, film.hold_s)):
                field.show_number(number)
            widths = sorted({*_WIDTHS, film.width_px})
            self.width_box.clear()
            for width in widths:
                self.width_box.addItem(f"{width} pixels wide", width)
            self.width_box.setCurrentIndex(widths.index(film.width_px))
            # As the ledge lies, photos come by their sittings already.
            backwards = film.order is Order.BACKWARDS
            _pick(self.order, _ORDERS, Order.BACKWARDS if backwards else Order.GIVEN)
            _pick(self.light, _LIGHTS, film.light_of)
            _pick(self.over, _OVERS, choice.over)
            _pick(self.kind, _KINDS, choice.kind)
            for name, check in self.checks.items():
                check.setChecked(getattr(film, name))
            self._follow()

    def choice(self) -> Choice:
        """Raises PainterError with a sentence about the first thing that cannot be."""
        film = replace(
            self._kept,
            stand_s=self.stand.number(),
            fade_s=self.fade.number(),
            hold_s=self.hold.number(),
            width_px=int(self.width_box.currentData()),
            order=list(_ORDERS)[self.order.currentIndex()],
            light_of=list(_LIGHTS)[self.light.currentIndex()],
            **{name: check.isChecked() for name, check in self.checks.items()},
        )
        return Choice(film, list(_OVERS)[self.over.currentIndex()], list(_KINDS)[self.kind.currentIndex()])

    def can_draw(self, is_there: bool) -> None:
        """Whether there is a drawing to lay over."""
        self.over.setEnabled(is_there)
        self.over.setToolTip("" if is_there else _NO_DRAWING)

    def restyle(self) -> None:
        """The size of the type has changed."""
        for field in (self.stand, self.fade, self.hold):
            field.restyle()

    def _change(self) -> None:
        self._follow()
        self.changed.emit()

    def _follow(self) -> None:
        self.light.setEnabled(self.checks["even"].isChecked())


def drop_down(name: str, words: Iterable[str] = ()) -> QComboBox:
    """A list to choose from that is as narrow as the panel needs it."""
    made = QComboBox()
    made.setAccessibleName(name)
    made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    made.setMinimumContentsLength(10)
    made.addItems(list(words))
    return made


def _pick(box: QComboBox, words: Iterable[StrEnum | None], chosen: StrEnum | None) -> None:
    box.setCurrentIndex(list(words).index(chosen))
