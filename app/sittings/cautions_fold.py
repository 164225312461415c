"""Cautions that apply to this plan: each with where it comes from, and the label before all of them."""

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from app.questions.parts import text
from app.sittings.fold import SittingFold
from app.studio import Studio
from core.sitting.cautions import DEFER, Caution, cautions_for


class CautionsFold(SittingFold):
    """Those of the paint that is planned and was used; of sanding and varnish where these are wanted."""

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Cautions", is_open=False)
        self._shown: tuple[Caution, ...] = ()
        self.defer = text(DEFER, "sentence")
        self.sanding = self._tick("A dry layer is rubbed down", "sanding")
        self.varnishing = self._tick("It is varnished", "varnishing")
        self.list = QWidget()
        self._rows = QVBoxLayout(self.list)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(4)
        for part in (self.defer, self.sanding, self.varnishing, self.list):
            self.column.addWidget(part)

    def show_now(self) -> None:
        settings = self.settings
        for box, on in ((self.sanding, settings.sanding), (self.varnishing, settings.varnishing)):
            with QSignalBlocker(box):
                box.setChecked(on)
        cautions = cautions_for(self.reads.work(sanding=settings.sanding, varnishing=settings.varnishing))
        if cautions == self._shown:
            return
        self._shown = cautions
        while (item := self._rows.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        for caution in cautions:
            self._rows.addSpacing(8)
            self._rows.addWidget(text(caution.title, "subheading"))
            self._rows.addWidget(text(caution.line))
            self._rows.addWidget(text(f"Applies {caution.when}. Source: {caution.source}.", "note"))

    @property
    def shown(self) -> tuple[Caution, ...]:
        return self._shown

    def _tick(self, words: str, name: str) -> QCheckBox:
        box = QCheckBox(words)
        box.toggled.connect(lambda on: self.set_view(**{name: on}))
        return box
