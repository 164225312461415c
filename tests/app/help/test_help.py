"""The help of each question says what is measured, how sure it is and where it comes from, and nothing else than the
README does."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from app import look
from app.help.pages import HELP, HelpPage
from app.help.sheet import HelpSheet
from app.view import PANELS, Question

README = (Path(__file__).resolve().parents[3] / "README.md").read_text(encoding="utf-8")


@pytest.fixture
def host(qapp: QApplication) -> Iterator[QWidget]:
    made = QWidget()
    made.resize(1366, 768)
    yield made
    made.close()
    made.deleteLater()


def test_every_panel_has_its_page() -> None:
    assert set(HELP) == set(PANELS)


@pytest.mark.parametrize("page", HELP.values(), ids=[str(each) for each in HELP])
def test_a_page_says_what_how_sure_and_whence(page: HelpPage) -> None:
    assert page.what
    assert page.measured
    assert page.limits
    assert page.sources


@pytest.mark.parametrize(("answer", "figure"), [line for page in HELP.values() for line in page.measured])
def test_its_figures_are_those_of_the_readme(answer: str, figure: str) -> None:
    assert f"| {answer} | {figure} |" in README


@pytest.mark.parametrize("arms_length", [False, True])
def test_nothing_is_cut_off(host: QWidget, qapp: QApplication, arms_length: bool) -> None:
    look.apply_look(qapp, arms_length=arms_length, high_contrast=False)
    try:
        sheet = HelpSheet(host)
        host.show()
        for question in PANELS:
            sheet.show_page(question)
            qapp.processEvents()
            inside = sheet.area.widget()
            assert inside is not None
            assert inside.width() <= sheet.area.viewport().width()
            for label in inside.findChildren(QLabel):
                assert label.height() >= label.heightForWidth(label.width())
    finally:
        look.apply_look(qapp, high_contrast=False)


def test_it_goes_from_page_to_page_and_away_by_keyboard(host: QWidget) -> None:
    sheet = HelpSheet(host)
    host.show()
    sheet.show_page(Question.VALUE)
    assert "Value" in sheet.heading.text()
    focused = host.window().focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "Help: Value"
    QTest.keyClick(focused, Qt.Key.Key_Tab)
    edge = host.window().focusWidget()
    assert edge is not None
    QTest.keyClick(edge, Qt.Key.Key_Space)
    assert sheet.question is Question.EDGE
    QTest.keyClick(sheet, Qt.Key.Key_Escape)
    assert sheet.isHidden()
