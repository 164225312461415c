"""The paint of a sitting: medium, thickness, where it lies, and its tubes from the palette that is laid out."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.questions.parts import text
from app.sittings.fields import Chips, offered
from app.sittings.words import LIES, MEDIUMS, THICKNESSES
from core.sitting.coat import USUAL_COAT, Coat, SittingTube

if TYPE_CHECKING:
    from app.studio import Studio


class CoatPart(QWidget):
    """``changed``: the coat as it is wanted now."""

    changed = Signal(object)

    def __init__(self, studio: "Studio", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio, self._coat = studio, USUAL_COAT
        self.medium = offered("Medium", MEDIUMS, lambda medium: self._change(replace(self._coat, medium=medium)))
        self.thickness = offered(
            "Thickness", THICKNESSES, lambda thick: self._change(replace(self._coat, thickness=thick))
        )
        self.lies = offered("Where the paint lies", LIES, lambda lies: self._change(replace(self._coat, lies=lies)))
        self.of, self.tubes = text("", "note"), Chips()
        self.tubes.toggled.connect(self._lay)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for part in (self.medium, self.thickness, self.lies, self.of, self.tubes):
            column.addWidget(part)

    def show_coat(self, coat: Coat, *, enabled: bool) -> None:
        self._coat = coat
        self.medium.show_value(coat.medium)
        self.thickness.show_value(coat.thickness)
        self.lies.show_value(coat.lies)
        for part in (self.medium, self.thickness, self.lies):
            part.setEnabled(enabled)
        mixes = self._studio.mixes
        used = [tube.name for tube in coat.tubes]
        laid_out = list(mixes.palette.tubes)
        self.of.setText(f"Tubes of the palette “{mixes.palette.name}”: press on those that are used.")
        self.tubes.show_chips(laid_out + [each for each in used if each not in laid_out], used, enabled=enabled)

    def _lay(self, name: str, on: bool) -> None:
        tubes = tuple(tube for tube in self._coat.tubes if tube.name != name)
        if on:
            held = self._studio.mixes.box.held.tubes.get(name)
            tubes = (*tubes, SittingTube(name, tuple(held.pigments) if held is not None else ()))
        self._change(replace(self._coat, tubes=tubes))

    def _change(self, coat: Coat) -> None:
        if coat != self._coat:
            self._coat = coat
            self.changed.emit(coat)
