"""Photos on the ledge are rated in the background, marked on their cards, and told of once when they come in."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

import app.ledge.rating as rating_module
from app.kept_reads import KeptReads
from app.ledge.card import Card
from app.ledge.rating import CHANNEL, Rating, rate
from app.work import Worker
from core.photo_rating import VERSION, rating_from_text
from tests.app.window_case import CORNERS, Easel, canvas_shot, drop, make_easel, make_painting
from tests.core.glare_case import SIZE, painted
from tests.studio.camera import Camera, photograph

GOOD = Camera(CORNERS, width=1200, height=900, exposure=0.7, blur_px=0.7)


@cache
def bytes_of(kind: str) -> bytes:
    """A photo that is good, out of focus, or has glare, or both."""
    blur = 5.0 if "soft" in kind else 0.7
    glare = ((160.0, 35.0, 16.0),) if "glare" in kind else ()
    assert painted().size == SIZE
    return photograph(painted(), replace(GOOD, blur_px=blur, glare=glare)).jpeg()


def photo(folder: Path, name: str, kind: str) -> Path:
    file = folder / name
    file.write_bytes(bytes_of(kind) + name.encode())
    return file


class Bench:
    """A window with its ledge, and the rating that follows it."""

    def __init__(self, easel: Easel, folder: Path) -> None:
        self.easel, self.folder = easel, folder
        self.said: list[str] = []
        self.parent = QWidget(easel.window)
        self.begin()

    def begin(self) -> None:
        desk = self.easel.desk  # whose own rating rests in tests
        self.rating = Rating(desk.studio, lambda: desk.ledge.cards, self.parent)
        self.rating.said.connect(self.said.append)
        self.rating.begin()
        QApplication.processEvents()

    def bring_in(self, **kinds: str) -> None:
        drop(self.easel.desk.ledge, [photo(self.folder, f"{name}.jpg", kind) for name, kind in kinds.items()])
        QApplication.processEvents()

    def card(self, name: str) -> Card:
        return next(card for card in self.easel.desk.ledge.cards if card.photo.name == f"{name}.jpg")


@pytest.fixture
def bench(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Bench:
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    return Bench(easel, tmp_path)


def with_corners(bench: Bench) -> None:
    painting = bench.easel.desk.studio.painting
    for each in painting.canvas_photos():
        painting.set_corners(each.id, CORNERS)
        QApplication.processEvents()


def test_a_bad_photo_is_told_of_once_with_what_to_do(bench: Bench) -> None:
    bench.bring_in(lamp="glare")
    assert len(bench.said) == 1
    assert bench.said[0].startswith("“lamp.jpg”: Glare upper right")
    assert bench.said[0].endswith("turn the lamp or move it to the side.")
    with_corners(bench)
    assert len(bench.said) == 1


def test_a_good_photo_is_not_spoken_of_nor_marked(bench: Bench) -> None:
    bench.bring_in(fine="good")
    with_corners(bench)
    assert bench.said == []
    assert bench.card("fine").remark == ""
    assert bench.card("fine").accessibleDescription() == "corners placed"


def test_several_photos_are_one_sentence(bench: Bench) -> None:
    bench.bring_in(lamp="glare", fine="good", blur="soft")
    assert len(bench.said) == 1
    assert "1 more of the new photos" in bench.said[0]


def test_the_card_says_it_in_a_word_once_its_corners_are_there(bench: Bench) -> None:
    bench.bring_in(both="glare and soft")
    assert bench.card("both").remark == "corners?"
    assert "Glare" in bench.card("both").toolTip()
    with_corners(bench)
    card = bench.card("both")
    assert card.remark == "glare, blurred"
    assert "polarising filter" in card.toolTip()
    assert "tap on the canvas to focus" in card.accessibleDescription()
    assert card.accessibleDescription().startswith("glare, blurred.")


def test_a_blank_stays_a_blank(bench: Bench) -> None:
    bench.bring_in(blank="soft")
    bench.easel.desk.studio.painting.set_is_blank(1, True)
    with_corners(bench)
    assert bench.card("blank").remark == "blank"
    assert "focus" not in bench.card("blank").toolTip()


def test_ratings_are_kept_and_not_made_twice(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.bring_in(lamp="glare")
    kept = bench.easel.desk.studio.painting.photo_rating(1, version=VERSION)
    assert kept is not None
    assert kept.is_current
    assert rating_from_text(kept.rating) == bench.rating.of(1)
    made: list[int] = []
    monkeypatch.setattr(rating_module, "rate", lambda order, kept, progress: made.append(order.canvas_photo))
    bench.begin()
    assert made == []
    assert bench.rating.of(1) is not None
    assert len(bench.said) == 1  # nothing is new to the one that has just begun
    painting = bench.easel.desk.studio.painting
    painting.set_photo_rating(1, "{}", inputs=painting.rating_inputs(1), version=VERSION - 1)
    bench.begin()
    assert made == [1]  # an older version's is made anew


def test_photos_of_before_are_rated_quietly_on_opening(bench: Bench) -> None:
    bench.rating.rest()
    bench.bring_in(lamp="glare")
    assert bench.rating.of(1) is None
    assert bench.easel.desk.studio.painting.photo_rating(1, version=VERSION) is None
    assert "Glare" not in bench.card("lamp").toolTip()
    bench.begin()
    assert "Glare" in bench.card("lamp").toolTip()
    assert bench.said == []


def test_a_photo_that_cannot_be_read_is_left_alone(bench: Bench, tmp_path: Path) -> None:
    bench.rating.rest()
    file, _ = canvas_shot(tmp_path)
    drop(bench.easel.desk.ledge, [file])
    bench.easel.desk.studio.painting.photo_file(bench.card("canvas").photo.photo.id).write_bytes(b"no photograph")
    bench.begin()
    bench.rating.refresh()
    assert bench.rating.of(1) is None
    assert bench.said == []


def test_real_threads_rate_one_photo_at_a_time(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once: list[int] = []
    under_way: list[int] = []

    def counted(order: rating_module.Order, kept: KeptReads, progress: rating_module.Progress) -> object:
        under_way.append(order.canvas_photo)
        at_once.append(len(under_way))
        try:
            return rate(order, kept, progress)
        finally:
            under_way.remove(order.canvas_photo)

    monkeypatch.setattr(rating_module, "rate", counted)
    easel = make_easel(qtbot, threaded_worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    bench = Bench(easel, tmp_path)
    bench.bring_in(lamp="glare", fine="good")
    qtbot.waitUntil(lambda: all(bench.rating.of(each) is not None for each in (1, 2)))
    qtbot.waitUntil(lambda: not threaded_worker.is_busy(CHANNEL))
    assert at_once
    assert max(at_once) == 1
    bench.rating.rest()
