"""The plan on paper, and in the calendar."""

from PySide6.QtCore import Signal

from app.questions.paper import PaperBox
from app.questions.parts import button, flow, text
from app.sittings.fold import SittingFold
from app.sittings.pages import forecast_ahead
from app.studio import Studio

_HOW = "The plan with room to write, for the wall of the studio, and the cautions that go with it."
_TOUCH = "A calendar takes planned sittings that have a day, and the days when a layer is perhaps dry: test by touch."
_AGAIN = "Taken into the calendar again, it moves what is there and doubles nothing."


class PaperFold(SittingFold):
    """``page_wanted``: the plan is to be printed; ``calendar_wanted``: it is to go into a calendar."""

    page_wanted = Signal()
    calendar_wanted = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Paper and calendar", is_open=False)
        self.paper = PaperBox()
        self.paper.chosen.connect(lambda name: self.set_view(paper=name))
        self.page = button("Print the plan…", self.page_wanted.emit)
        self.goes = text()
        self.calendar = button("For the calendar…", self.calendar_wanted.emit)
        for part in (
            text(_HOW), self.paper, flow(self.page), text(_TOUCH), self.goes, flow(self.calendar), text(_AGAIN, "note"),
        ):  # fmt: skip
            self.column.addWidget(part)

    def show_now(self) -> None:
        reads = self.reads
        self.paper.show_paper(self.settings.paper)
        self.page.setEnabled(bool(reads.keys))
        days = reads.kept.days
        planned = [
            f"sitting {number}" for number, each in enumerate(reads.plan.sittings, start=1)
            if days.of(each.key) is not None and not reads.entry(each.key).begun
        ]  # fmt: skip
        drying = [f"the drying of {each.name[:1].lower()}{each.name[1:]}" for each in forecast_ahead(reads)]
        told = [*planned, *drying]
        self.calendar.setEnabled(bool(told))
        self.goes.setText(f"Now: {', '.join(told)}." if told else "Nothing has a day yet: give one under “Plan”.")
