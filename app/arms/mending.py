"""Which thing to mend is shown, and what is said where there is none."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from app.findings import Findings, Mend
from app.studio import Studio
from core.mend_weights import MEND_WEIGHTS, MendWeights

_SPAN_MM = 40.0
_NO_PHOTO = "Bring in a photo of the canvas first: Esc, then O."
_NO_CORNERS = "Place the canvas’s corners in this photo first: Esc, then P."
_NO_REFERENCE = "The painting has lost its reference: there is nothing to check against."
_LOOK_ONLY = "This painting is open only to look: a check cannot be kept."


@dataclass(frozen=True)
class Told:
    """What is shown in large type. ``count``: such as “1 of 7”, empty when it is no thing to mend; ``question``: of
    what it is; ``aside``: what else has to be known."""

    sentence: str
    count: str = ""
    question: str = ""
    aside: str = ""


class Mending(QObject):
    """Follows the studio's findings; ``changed`` when another thing is shown, or the list is another."""

    changed = Signal()

    def __init__(self, studio: Studio, parent: QObject) -> None:
        super().__init__(parent)
        self._studio = studio
        self._findings: Findings | None = None
        self._photo: int | None = None
        self.items: tuple[Mend, ...] = ()
        self.at = 0
        studio.findings_changed.connect(self.refresh)
        studio.ledge_changed.connect(self.refresh)
        self.refresh()

    @property
    def item(self) -> Mend | None:
        """The thing that is shown."""
        return self.items[self.at] if self.items else None

    @property
    def span_mm(self) -> float:
        """How much of the canvas is marked about it: as the to-mend list marks it."""
        size = self._studio.painting.size
        return min(_SPAN_MM, size.width_mm / 4, size.height_mm / 4)

    def refresh(self) -> None:
        """A fresh check, or another photo, begins with what counts most; else the thing that is shown stays."""
        checked, shown = self._studio.checked, self.item
        findings, photo = (checked.findings if checked is not None else None), self._studio.view.canvas_photo
        old, self._findings = self._findings, findings
        weights = MendWeights.from_json(self._studio.painting.plan(MEND_WEIGHTS))
        self.items = findings.mend_by(weights) if findings is not None else ()
        same = photo == self._photo and old is not None and findings is not None and old.made_at == findings.made_at
        self.at = self._where(shown) if same and shown is not None else 0
        self._photo = photo
        self.changed.emit()

    def step(self, by: int) -> bool:
        """The next, or the one before, and round again; False when there is nothing on the list."""
        if not self.items:
            return False
        self.at = (self.at + by) % len(self.items)
        self.changed.emit()
        return True

    def before_check(self) -> str:
        """What stands before a check, in a sentence; else empty."""
        studio, photo = self._studio, self._studio.canvas_photo
        if photo is None:
            return _NO_PHOTO
        if photo.corners is None:
            return _NO_CORNERS
        if studio.painting.reference is None:
            return _NO_REFERENCE
        return _LOOK_ONLY if studio.painting.read_only else ""

    def told(self, item: Mend | None, check_key: str) -> Told:
        """What is said of a thing, or where there is none; ``check_key`` as it is written."""
        if item is not None:
            return Told(item.say, f"{item.number} of {len(self.items)}", item.question, self._aside(check_key))
        if self._studio.checker.is_busy:
            return Told("The canvas is being checked.")
        if self._findings is not None:
            return Told("Nothing to mend was found.", aside=self._aside(check_key))
        before = self.before_check()
        return Told(before or f"This photo of the canvas is not checked yet: {check_key} checks it.")

    def _aside(self, check_key: str) -> str:
        if self._studio.checker.is_busy:
            return "Checking…"
        if self._findings is not None and not self._findings.is_current:
            return f"Something has changed since the check: {check_key} checks again."
        return ""

    def _where(self, shown: Mend) -> int:
        same = (shown.x_mm, shown.y_mm, shown.question)
        return next((i for i, each in enumerate(self.items) if (each.x_mm, each.y_mm, each.question) == same), 0)
