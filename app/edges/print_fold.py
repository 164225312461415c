"""The edge plan on one page, to hang beside the easel."""

from PySide6.QtCore import Signal

from app.edges.fold import EdgeFold
from app.questions.paper import PaperBox
from app.questions.parts import button, flow, text
from app.studio import Studio

_WHAT = "The plan over the faded reference, with what its lines mean, the budget and the focal points."


class PrintFold(EdgeFold):
    """The paper is kept with the view."""

    page_wanted = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Print", is_open=False)
        self.paper = PaperBox()
        self.paper.chosen.connect(lambda name: self.set_view(paper=name))
        self.page = button("Edge plan…", self.page_wanted.emit)
        for part in (self.paper, text(_WHAT, "note"), flow(self.page)):
            self.column.addWidget(part)

    def show_now(self) -> None:
        self.paper.show_paper(self.settings.paper)
