"""The part of the drawing panel about drift: the whole drawing first, then each landmark, and how it went."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from app.findings import Findings, Landmark
from app.questions.course_chart import CourseChart
from app.questions.parts import Line, Lines, Stepper, button, row, text
from app.studio import Studio
from core import words

TIMES = (1.0, 3.0, 5.0, 10.0)
_SPAN_MM = 25.0
_SINCE = (
    "Landmarks were placed by hand since the check. Its values and its printed sheet do not know of it: check again "
    "to have them follow."
)
_HOW_TO_READ = "Bars: 19 times in 20 the true drift lies in them. An open square was placed by hand."


class DriftPart(QWidget):
    """Follows the studio's findings. ``place`` and ``remove`` name the landmark that the hand is wished for."""

    go_to = Signal(float, float, float)
    place = Signal(object)  # Landmark
    remove = Signal(str)
    kept = Signal()
    left = Signal()
    unfolded = Signal()  # ``chosen`` shows something else now

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._told: tuple[Landmark, ...] = ()
        self._untold: tuple[Landmark, ...] = ()
        self._chosen = self._placing = ""
        self.whole, self.means, self.since = text(), text(role="note"), text(_SINCE, role="note")
        self.drift, self.untold = QWidget(), text(role="note")
        self.landmark_lines, self.untold_lines = Lines(), Lines()
        self.landmark_lines.chosen.connect(lambda index: self._go(self._told[index]))
        self.untold_lines.chosen.connect(lambda index: self._go(self._untold[index]))
        self.chosen = self._chosen_part()
        column = _column(self)
        for part in (
            text("Drift", "subheading"),
            self.whole,
            self.means,
            self.since,
            self.drift,
            self.untold,
            self.untold_lines,
        ):
            column.addWidget(part)
        self._fill_drift()
        self.chosen.hide()
        studio.view_changed.connect(self.refresh_view)
        studio.findings_changed.connect(self.refresh)
        studio.drawing_changed.connect(self.refresh)
        self.refresh_view()
        self.refresh()

    def refresh_view(self) -> None:
        with QSignalBlocker(self.arrows):
            self.arrows.setChecked(self._studio.view.arrows)

    def refresh(self) -> None:
        findings = self._studio.checked.findings if self._studio.checked is not None else None
        drawing = self._studio.drawing
        self.whole.setText(_whole(findings, has_landmarks=bool(drawing and drawing.landmarks)))
        self.means.setText(findings.whole_means if findings is not None else "")
        self.means.setVisible(bool(self.means.text()))
        self.since.setVisible(findings is not None and findings.hand_since)
        self._told = findings.told_landmarks if findings is not None else ()
        self._untold = findings.untold_landmarks if findings is not None else ()
        self.chosen.hide()
        self._column.addWidget(self.chosen)  # out of the lines while they are made anew
        self.landmark_lines.show_lines([Line(mark.number, mark.name, mark.say) for mark in self._told])
        self.untold_lines.show_lines(
            [Line(mark.number, mark.name, "not measured · can be placed by hand") for mark in self._untold]
        )
        self.drift.setVisible(bool(self._told))
        self.untold.setText(_untold_words(self._untold))
        self.untold.setVisible(bool(self._untold))
        self.untold_lines.setVisible(bool(self._untold))
        self._choose_again()

    def show_placing(self, name: str) -> None:
        """The landmark that is being placed; "" when none is."""
        if name != self._placing:
            self._placing = name
            self._show_chosen()

    def mark_of(self, name: str) -> Landmark | None:
        return next((mark for mark in (*self._told, *self._untold) if mark.name == name), None)

    @property
    def chosen_line(self) -> QWidget | None:
        """The line of the landmark that is chosen."""
        lines = (*self.landmark_lines.lines, *self.untold_lines.lines)
        return next((line for line in lines if line.isChecked()), None)

    @property
    def _column(self) -> QVBoxLayout:
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        return column

    def _fill_drift(self) -> None:
        column = _column(self.drift)
        self.arrows = QCheckBox("Arrows on the canvas photo")
        self.arrows.toggled.connect(lambda on: self._studio.change_view(replace(self._studio.view, arrows=on)))
        self.times = Stepper("length of the arrows")
        self.times.stepped.connect(self._lengthen)
        column.addWidget(text("An arrow runs from where a landmark should be to where it was painted.", "note"))
        for part in (self.arrows, self.times, self.landmark_lines):
            column.addWidget(part)
        self._show_times()

    def _chosen_part(self) -> QWidget:
        """What unfolds under the landmark that is chosen."""
        part = QWidget()
        column = _column(part)
        column.setContentsMargins(10, 2, 4, 10)
        self.own, self.course = text(role="note"), text()
        self.chart, self.how_to_read = CourseChart(), text(_HOW_TO_READ, role="note")
        self.by_hand = button("Place by hand", self._place)
        self.take_away = button("Take away", lambda: self.remove.emit(self._chosen))
        self.take_away.setAccessibleName("Take the hand’s place away")
        self.take_away.setToolTip("Take the hand’s place away: what was measured counts again")
        self.advice = text()
        self.keep = button("Keep", self.kept.emit, "primary")
        self.leave = button("Leave", self.left.emit)
        for each in (self.own, self.course, self.chart, self.how_to_read):
            column.addWidget(each)
        column.addLayout(row(self.by_hand, self.take_away, stretch=0))
        column.addWidget(self.advice)
        column.addLayout(row(self.keep, self.leave, stretch=0))
        return part

    def _go(self, mark: Landmark) -> None:
        self._chosen = mark.name
        self._studio.choose(landmark=mark.number)
        self._show_chosen()
        self.go_to.emit(mark.x_mm, mark.y_mm, _SPAN_MM)

    def _choose_again(self) -> None:
        """The numbers go by how far a landmark has strayed, so they change; the name that is chosen stays."""
        mark = self.mark_of(self._chosen)
        if mark is not None and self._studio.chosen_landmark not in (None, mark.number):
            self._studio.choose(landmark=mark.number)
        self._show_chosen()

    def _show_chosen(self) -> None:
        mark = self.mark_of(self._chosen)
        lists = ((self.landmark_lines, self._told), (self.untold_lines, self._untold))
        for lines, marks in lists:
            at = next((index for index, each in enumerate(marks) if mark is not None and each is mark), None)
            lines.mark(at)
            if at is not None:
                lines.put_under(at, self.chosen)
        self.chosen.setVisible(mark is not None)
        if mark is not None:
            self._tell(mark)
            self.unfolded.emit()

    def _tell(self, mark: Landmark) -> None:
        checked, photo = self._studio.checked, self._studio.canvas_photo
        course = checked.courses.get(mark.name) if checked is not None else None
        self.own.setText(_own_words(mark))
        self.own.setVisible(bool(self.own.text()))
        told = course is not None and bool(course.told)
        placing = mark.name == self._placing
        if course is not None and told:
            self.course.setText(f"{course.say[:1].upper()}{course.say[1:]}.")
            self.chart.show_course(course, None if photo is None else photo.id)
        for part in (self.course, self.chart, self.how_to_read):
            part.setVisible(told and not placing)
        can = photo is not None and photo.corners is not None and not self._studio.painting.read_only
        self.by_hand.setText("Place again" if mark.by_hand else "Place by hand")
        self.by_hand.setVisible(can and not placing)
        self.take_away.setVisible(can and mark.by_hand and not placing)
        self.advice.setText(
            f"Drag the ring to where “{mark.name}” is painted, or nudge it with the arrow keys (Shift: further)."
        )
        for each in (self.advice, self.keep, self.leave):
            each.setVisible(placing)

    def _place(self) -> None:
        mark = self.mark_of(self._chosen)
        if mark is not None:
            self.place.emit(mark)

    def _lengthen(self, by: int) -> None:
        at = min(max(TIMES.index(self._studio.arrows_times) + by, 0), len(TIMES) - 1)
        self._studio.lengthen_arrows(TIMES[at])
        self._show_times()

    def _show_times(self) -> None:
        times = self._studio.arrows_times
        says = "arrows in true length" if times == 1 else f"arrows {times:g} times as long"
        self.times.show_number(says, can_less=times > TIMES[0], can_more=times < TIMES[-1])


def _whole(findings: Findings | None, *, has_landmarks: bool) -> str:
    """The whole drawing first; then what is local."""
    if findings is None:
        return "A check says how far the painted drawing has strayed, in mm on the canvas."
    if findings.whole is None:
        return "How the drawing sits as a whole could not be told."
    first = findings.whole or "As a whole the drawing sits well."
    if findings.landmarks or has_landmarks:
        return first
    return f"{first} Bring in a drawing with landmarks to have each of them measured."


def _own_words(mark: Landmark) -> str:
    """What is the landmark's own, once the whole drawing's part is taken out."""
    if not mark.is_told or mark.own_mm is None:
        return ""
    return f"On its own, without the whole drawing’s part: {words.offset(*mark.own_mm)}."


def _untold_words(marks: Sequence[Landmark]) -> str:
    it, verb = ("it", "It") if len(marks) == 1 else ("them", "They")
    return f"Too little there to measure {it} by. {verb} can be placed by hand:"


def _column(part: QWidget) -> QVBoxLayout:
    column = QVBoxLayout(part)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(8)
    return column
