"""Under the pointer: how wide the edge there is, its kind, its contrast, and what is planned for it."""

from PySide6.QtGui import QAction

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.words import WHAT_IT_IS, EdgeReading
from app.questions.parts import flow, text
from app.studio import Studio

_NEAR = "Bring the pointer near an edge of the reference."


class ReadingFold(EdgeFold):
    """Follows the pointer."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Under the pointer")
        self.figure, self.says = text("–", "figure"), text(_NEAR)
        self.figure.setAccessibleName("The edge under the pointer")
        for part in (self.figure, self.says, flow(KeyButton.of(actions["numbers_at_pointer"], "On the wall"))):
            self.column.addWidget(part)
        self.column.addWidget(text(WHAT_IT_IS, "note"))
        self._reading: EdgeReading | None = None

    def show_now(self) -> None:
        self.studio.edges.plan()  # so that it is there when the pointer comes
        self.show_reading(self._reading)

    def show_reading(self, reading: EdgeReading | None) -> None:
        """What lies under the pointer; None where there is no edge near, or the pointer is gone."""
        self._reading = reading
        if reading is not None:
            self.figure.setText(reading.figure)
            self.says.setText(reading.verdict)
            return
        reads = self.studio.edges
        why_not = reads.why_not()
        measuring = not why_not and reads.measured() is None
        self.figure.setText("–")
        self.says.setText(why_not or ("Measuring the edges…" if measuring else _NEAR))
