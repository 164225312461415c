"""Pages of values written in the background: stopped, refused, and asked for by their full name."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.message import Offer
from app.saving import Saving
from app.work import Progress, Worker
from core.errors import PainterError
from tests.app.window_case import Answers


class Said:
    def __init__(self) -> None:
        self.sentences: list[str] = []
        self.offers: list[Offer] = []

    def __call__(self, sentence: str, *offers: Offer, passing: bool = False) -> None:
        self.sentences.append(sentence)
        self.offers = list(offers)


@pytest.fixture
def parent(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    return made


def test_stopped_it_writes_nothing_and_says_so(
    qtbot: QtBot, threaded_worker: Worker, parent: QWidget, tmp_path: Path
) -> None:
    said = Said()
    begun: list[bool] = []

    def write(path: Path, progress: Progress) -> str:
        while True:
            begun.append(True)
            progress(0.5, "Printing")

    Saving(threaded_worker, Answers().dialogs(), said, parent).write("page", tmp_path / "a.pdf", write)
    qtbot.waitUntil(lambda: bool(begun))
    threaded_worker.cancel("page")
    qtbot.waitUntil(lambda: bool(said.sentences))
    assert said.sentences == ["Stopped. No file was written."]
    assert list(tmp_path.iterdir()) == []


def test_what_went_wrong_is_said(worker: Worker, parent: QWidget, tmp_path: Path) -> None:
    said = Said()

    def write(path: Path, progress: Progress) -> str:
        raise PainterError("The disk is full.")

    Saving(worker, Answers().dialogs(), said, parent).write("page", tmp_path / "a.pdf", write)
    assert said.sentences == ["The disk is full."]


def test_an_ending_is_added_but_never_over_another_file(worker: Worker, parent: QWidget, tmp_path: Path) -> None:
    said, answers = Said(), Answers(save=tmp_path / "page")
    saving = Saving(worker, answers.dialogs(), said, parent)
    assert saving.ask("page", "Jug") == tmp_path / "page.pdf"
    (tmp_path / "page.pdf").write_bytes(b"another")
    assert saving.ask("page", "Jug") is None
    assert "is there already" in said.sentences[-1]
    answers.save = None
    assert saving.ask("page", "Jug") is None


def test_a_file_that_no_program_opens_is_told_where_it_is(worker: Worker, parent: QWidget, tmp_path: Path) -> None:
    from dataclasses import replace

    said = Said()
    dialogs = replace(Answers().dialogs(), open_file=lambda file: False)
    Saving(worker, dialogs, said, parent).write("page", tmp_path / "a.pdf", lambda path, progress: "Done.")
    assert said.sentences == [f"Done. It is in {tmp_path / 'a.pdf'}."]
    said.offers[0].do()
    assert said.sentences[-1] == f"No program here opens a.pdf. It is in {tmp_path}."
