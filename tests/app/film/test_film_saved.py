"""The film and its poster on disk, and work that stops with the page."""

from pathlib import Path

from PIL import Image
from pytestqt.qtbot import QtBot

from app.film import page as film_page
from app.film.page import STOPPED
from app.film.saver import SAVE
from app.work import Worker
from core.progress_film.video import frames_in
from tests.app.film.film_page_case import Shown
from tests.core.progress_film.film_case import COLOURS, frames_of


def test_the_name_tells_the_kind_of_file(shown: Shown, tmp_path: Path) -> None:
    page = shown.begin()
    for name in ("film.webm", "film.MP4", "film.webp"):
        shown.answers.save = tmp_path / name
        page.save_film()
        assert "A film of 3 photos, 2 s long, 160 × 140 pixels. It is in" in shown.said
    assert frames_in(tmp_path / "film.webm") == frames_in(tmp_path / "film.MP4") == 23
    with Image.open(tmp_path / "film.webp") as moving:
        assert moving.n_frames == 9  # type: ignore[attr-defined]
    first = frames_of(tmp_path / "film.MP4")[0][60, 80]
    assert max(abs(int(a) - b) for a, b in zip(first, COLOURS[0], strict=True)) <= 8


def test_another_ending_gets_the_one_that_is_set(shown: Shown, tmp_path: Path) -> None:
    page = shown.begin()
    page.settings.kind.setCurrentIndex(2)
    shown.answers.save = tmp_path / "jug 1.5"
    page.save_film()
    assert (tmp_path / "jug 1.5.webp").is_file()
    page.save_film()
    assert "is there already" in shown.said
    shown.answers.save = None
    page.save_film()
    assert sorted(path.name for path in tmp_path.glob("jug*")) == ["jug 1.5.webp"]


def test_the_poster(shown: Shown, tmp_path: Path) -> None:
    page = shown.begin()
    shown.answers.save = tmp_path / "poster.png"
    page.poster_button.click()
    assert "The poster shows “Day 3”, 160 pixels wide. It is in" in shown.said
    with Image.open(tmp_path / "poster.png") as poster:
        assert poster.size == (160, 140)
        middle = poster.convert("RGB").getpixel((80, 60))
    assert isinstance(middle, tuple)
    assert max(abs(a - b) for a, b in zip(middle, COLOURS[2], strict=True)) <= 2


def test_a_disk_that_refuses_is_told(shown: Shown, tmp_path: Path) -> None:
    page = shown.begin()
    shown.answers.save = tmp_path / "no such folder" / "film.webm"
    page.save_film()
    assert "film.webm" in shown.said or "folder" in shown.said
    assert "It is in" not in shown.said


def test_leaving_stops_what_is_looked_at_and_written(
    shown: Shown, tmp_path: Path, qtbot: QtBot, threaded_worker: Worker
) -> None:
    shown.studio.worker = threaded_worker
    page = shown.begin()
    assert page.player.view.image is None
    page.settings.hold.field.setText("100")
    shown.answers.save = tmp_path / "film.webm"
    page.save_film()
    assert threaded_worker.is_busy(SAVE)
    page.left.emit()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())
    assert not shown.placing.is_away
    assert not list(tmp_path.glob("*film.*"))
    assert shown.said == "Stopped. No file was written."
    assert page._stills is None
    assert page.player.reel is None


def test_threads_bring_the_pictures_and_the_strip_stops_them(
    shown: Shown, qtbot: QtBot, threaded_worker: Worker
) -> None:
    shown.studio.worker = threaded_worker
    page = shown.begin()
    threaded_worker.cancel(film_page.LOOK)
    qtbot.waitUntil(lambda: STOPPED in page.notes.text())
    page.refresh()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy() and page.player.reel is not None)
    assert STOPPED not in page.notes.text()
    assert page.film is not None
    assert page._matched(page.film) is not None
    shown.studio.painting.set_corners(shown.studio.canvas_photos[0].id, None)
    page.refresh()
    page.settings.fade.show_number(0)
    page.refresh()
    assert page.player.reel is None  # pictures of other photos are not shown with these
    qtbot.waitUntil(lambda: not threaded_worker.is_busy() and page.player.reel is not None)
    assert page.player.reel.count == 13
    page.left.emit()
