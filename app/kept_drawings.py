"""Drawings on their way to the painting: what is drawn is shown at once, and kept as soon as it has been shown.

Writing takes longer than a frame. It is begun when nothing else waits, so within a few hundredths of a second, and
before anything that depends on it.
"""

from collections import OrderedDict, deque
from hashlib import blake2b

from PySide6.QtCore import QObject, QTimer, Signal

from core.drawing.drawing import Drawing
from core.drawing.svg_write import drawing_to_svg
from core.errors import PainterError
from core.painting import Painting

MOST = 400


class KeptDrawings(QObject):
    """Keeps each drawing as a step of its own, in the order in which they were made.

    It also knows the latest by the text they are kept as, so that undoing many strokes need not read each version anew.
    """

    caught_up = Signal()  # several were kept one after another
    failed = Signal(str)  # a sentence; what was to be kept is dropped with all that was drawn on it since

    def __init__(self, painting: Painting, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._painting = painting
        self._waiting: deque[tuple[Drawing, str]] = deque()
        self._known: OrderedDict[bytes, Drawing] = OrderedDict()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.keep_now)

    @property
    def is_behind(self) -> bool:
        """Whether a drawing still waits to be kept."""
        return bool(self._waiting)

    def keep(self, drawing: Drawing, label: str) -> None:
        """Have a drawing kept once the window has shown it; ``label`` says what was done."""
        self._waiting.append((drawing, label))
        self._soon.start()

    def keep_now(self) -> bool:
        """Write what waits; False when it could not be written."""
        self._soon.stop()
        several = len(self._waiting) > 1
        while self._waiting:
            drawing, label = self._waiting.popleft()
            text = drawing_to_svg(drawing)
            self.know(text, drawing)
            try:
                self._painting.set_drawing(text, label=label)
            except PainterError as trouble:
                self._waiting.clear()
                self.failed.emit(str(trouble))
                return False
        if several:
            self.caught_up.emit()
        return True

    def know(self, text: str, drawing: Drawing) -> None:
        """Remember which drawing a text is; lines that versions have in common are held once."""
        self._known[_key(text)] = drawing
        while len(self._known) > MOST:
            self._known.popitem(last=False)

    def drawing(self, text: str) -> Drawing | None:
        """The drawing that this text is, or None when it is not remembered."""
        return self._known.get(_key(text))


def _key(text: str) -> bytes:
    return blake2b(text.encode(), digest_size=16).digest()
