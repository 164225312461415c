"""Above every panel: the button that checks the canvas, and how fresh the findings below are."""

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.actions import KeyButton
from app.questions.parts import row, text
from app.studio import Studio


class CheckBar(QWidget):
    """Follows the studio; the actions do the work."""

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.check = KeyButton.of(actions["check"], "Check the canvas", wide=True)
        self.check.is_primary = True
        self.sheet = KeyButton("Printed sheet")
        self.sheet.setDefaultAction(actions["sheet"])
        self.sheet.setAccessibleName("Printed sheet")
        self.state = text(role="note")
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 4)
        column.addLayout(row(self.check, self.sheet, stretch=0))
        column.addWidget(self.state)
        studio.findings_changed.connect(self.refresh)
        studio.ledge_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        self.state.setText(self._says())
        checked = self._studio.checked
        self.sheet.setVisible(checked is not None and (checked.sheet is not None or self._studio.checker.is_drawing))

    def _says(self) -> str:
        photo, checked = self._studio.canvas_photo, self._studio.checked
        if photo is None:
            return "Bring in a photo of the canvas to check it against the reference."
        if self._studio.checker.is_busy:
            return "Checking…"
        if checked is None:
            return f"“{photo.name}” has not been checked yet."
        made = checked.findings.made_at
        when = f"{made.astimezone():%d.%m. at %H:%M}" if made is not None else "earlier"
        if not checked.findings.is_current:
            return f"Checked {when}; something it was made from has changed since. Check again."
        return f"“{photo.name}” was checked {when}."
