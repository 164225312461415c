"""The help of one question over the window, and the way to the others."""

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app import look
from app.help.pages import HELP, HelpPage
from app.over_sheet import OverSheet
from app.questions.parts import button, flow, text
from app.view import PANELS, Question

_WIDEST_PX = 820
"""Longer lines are hard to read."""


class HelpSheet(OverSheet):
    """``show_page`` brings it up."""

    def __init__(self, host: QWidget) -> None:
        super().__init__("Help", host)
        self.question = Question.MEND
        self._ways = {question: button(words, partial(self.show_page, question)) for question, words in PANELS.items()}
        for question, way in self._ways.items():
            way.setCheckable(True)
            way.setAccessibleName(f"Help: {PANELS[question]}")
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(1, flow(*self._ways.values()))

    def show_page(self, question: Question) -> None:
        self.question = question
        self.heading.setText(f"{PANELS[question]}: what is measured, and how sure it is")
        for each, way in self._ways.items():
            way.setChecked(each is question)
        self.area.setWidget(_page(HELP[question]))
        self.bring_up()
        self._ways[question].setFocus()


def _page(page: HelpPage) -> QWidget:
    whole = QWidget()
    column = QVBoxLayout(whole)
    column.setContentsMargins(0, 10, 0, 10)
    column.setSpacing(8)
    figures = [f"{_first_up(answer)}: {figure}." for answer, figure in page.measured]
    for heading, paragraphs in (
        ("What is measured", page.what),
        ("How sure it is", (page.how, *figures)),
        ("What it cannot tell", page.limits),
        ("Where it comes from", page.sources),
    ):
        column.addWidget(text(heading, "subheading"))
        for paragraph in paragraphs:
            column.addWidget(_paragraph(paragraph))
        column.addSpacing(6)
    column.addStretch(1)
    whole.setMaximumWidth(round(_WIDEST_PX * look.scale()))
    return whole


def _paragraph(words: str) -> QLabel:
    label = text(words)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    return label


def _first_up(words: str) -> str:
    return words[:1].upper() + words[1:]
