"""A written film read back: its frames, size, colours, lines and titles. Nothing is left of one that was stopped."""

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from core.errors import CancelledError, CanvasError, PainterError, PhotoError
from core.progress_film import video
from core.progress_film.film import FilmSettings, Over, Overlay, ProgressFilm, frames_in_all
from core.progress_film.frames import faded, preview
from core.progress_film.stills import GROUND
from core.progress_film.write import before_after, save_poster, write_film
from tests.core.progress_film.film_case import (
    COLOURS,
    CORNERS,
    QUICK,
    SIZE,
    as_placed,
    frames_of,
    left_behind,
    plain_film,
    plain_photo,
)

LINE = np.array([[50.0, 20.0], [50.0, 130.0]])


def written(film: ProgressFilm, path: Path) -> list[Any]:
    told = write_film(film, path, matched=as_placed(film))
    frames = frames_of(path)
    assert len(frames) == told.frames == frames_in_all(len(film.shots), film.settings)
    assert frames[0].shape == (told.height, told.width, 3)
    return frames


@pytest.mark.parametrize("ending", [".webm", ".mp4"])
def test_frames_size_and_colours(tmp_path: Path, ending: str) -> None:
    frames = written(plain_film(tmp_path), tmp_path / f"film{ending}")
    assert len(frames) == 3 * 4 + 2 * 3 + 5
    assert frames[0].shape == (120, 160, 3)
    for first, colour in zip((0, 7, 14), COLOURS, strict=True):
        for frame in frames[first : first + 4]:
            assert np.abs(frame.astype(int) - colour).max() <= 4
    half = (np.array(COLOURS[0]) + COLOURS[1]) / 2
    assert np.abs(frames[5].mean(axis=(0, 1)) - half).max() <= 4  # the middle one of three


def test_steps_and_odd_sizes(tmp_path: Path) -> None:
    film = plain_film(tmp_path, settings=replace(QUICK, fade_s=0, hold_s=0, width_px=163, rate=5, stand_s=0.2))
    frames = written(film, tmp_path / "Skizze – été.webm")
    assert frames[0].shape == (124, 164, 3)
    for frame, colour in zip(frames, COLOURS, strict=True):
        assert np.abs(frame.mean(axis=(0, 1)) - colour).max() <= 4


def test_lines_lie_where_they_belong(tmp_path: Path) -> None:
    overlay = Overlay((LINE,), colour=(255, 255, 255), width_px=6.0, opacity=1.0, over=Over.LAST)
    film = plain_film(tmp_path, settings=replace(QUICK, width_px=400), overlay=overlay)
    frames = written(film, tmp_path / "film.webm")
    off = np.abs(frames[-1].astype(int) - COLOURS[2]).sum(axis=2) > 150
    rows, columns = np.nonzero(off)
    # 2 px/mm: 50 mm is between pixels 99 and 100, from row 40 to 260.
    assert columns.mean() == pytest.approx(99.5, abs=0.6)
    assert (rows.min(), rows.max()) == pytest.approx((40, 260), abs=3)
    assert (np.abs(frames[0].astype(int) - COLOURS[0]).sum(axis=2) < 20).all()


def test_titles_stand_beneath_the_picture(tmp_path: Path) -> None:
    film = plain_film(tmp_path, "First lay-in", "", "Sitting 3, " + "very long " * 40)
    frames = written(film, tmp_path / "film.mp4")
    assert frames[0].shape == (140, 160, 3)
    strips = [frames[k][122:].astype(int).max(axis=2) for k in (0, 8, -1)]
    assert strips[0].max() > 180
    assert strips[0][:, 120:].max() < GROUND[0] + 20  # a short one ends
    assert strips[1].max() < GROUND[0] + 20
    assert strips[2][:, 130:150].max() > 150  # a long one is cut before the rim
    assert strips[2][:, 154:].max() < GROUND[0] + 40
    assert np.abs(frames[0][:116].astype(int) - COLOURS[0]).max() <= 6  # nothing of the painting is covered


def test_titles_do_not_cross() -> None:
    first, second = np.full((10, 4, 3), 10, np.uint8), np.full((10, 4, 3), 210, np.uint8)
    early, late = faded(first, second, 0.25, 8), faded(first, second, 0.75, 8)
    assert (early[:8] == 60).all()
    assert (early[8:] == 10).all()
    assert (late[8:] == 210).all()


def test_an_animated_picture(tmp_path: Path) -> None:
    film = plain_film(tmp_path, settings=replace(QUICK, rate=24, stand_s=1.0, fade_s=0.25, hold_s=1.0))
    told = write_film(film, tmp_path / "film.webp", matched=as_placed(film))
    with Image.open(told.path) as picture:
        assert picture.n_frames == told.frames == 3 + 2 * 3  # type: ignore[attr-defined]
        assert picture.size == (told.width, told.height) == (160, 120)
        lasted, colours = [], []
        for number in range(told.frames):
            picture.seek(number)
            colours.append(np.asarray(picture.convert("RGB")).mean(axis=(0, 1)))
            lasted.append(picture.info["duration"])
    assert np.abs(np.array([colours[0], colours[4], colours[8]]) - COLOURS).max() < 4
    assert lasted == [1000, 83, 83, 83, 1000, 83, 83, 83, 2000]
    assert told.seconds == pytest.approx(4.5, abs=0.01)


@pytest.mark.parametrize("ending", [".webm", ".mp4", ".webp"])
def test_stopped_it_leaves_nothing_and_an_older_film_as_it_was(tmp_path: Path, ending: str) -> None:
    film, path, shares = plain_film(tmp_path), tmp_path / f"film{ending}", list[float]()
    path.write_bytes(b"older")

    def stop(share: float, doing: str) -> None:
        shares.append(share)
        assert doing
        if share > 0.7:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        write_film(film, path, matched=as_placed(film), progress=stop)
    assert shares == sorted(shares)
    assert left_behind(tmp_path) == {path.name}
    assert path.read_bytes() == b"older"


def test_no_room_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    film, real = plain_film(tmp_path), video.shutil.disk_usage
    monkeypatch.setattr(video.shutil, "disk_usage", lambda path: real(path)._replace(free=1000))
    with pytest.raises(PainterError, match=r"The disk is full: “film\.webm” was not saved"):
        write_film(film, tmp_path / "film.webm", matched=as_placed(film))
    assert left_behind(tmp_path) == set()


@pytest.mark.skipif(sys.platform == "win32", reason="files cannot be kept small there")
@pytest.mark.parametrize("ending", [".webm", ".mp4", ".webp"])
def test_a_film_that_breaks_off_is_not_kept(tmp_path: Path, ending: str) -> None:
    """The system refuses to let the file grow, of which the library says nothing."""
    import resource

    film = plain_film(tmp_path, settings=replace(QUICK, width_px=320))
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1500, before[1]))
    try:
        with pytest.raises(PainterError, match="could not be saved"):
            write_film(film, tmp_path / f"film{ending}", matched=as_placed(film))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert left_behind(tmp_path) == set()


def test_a_codec_that_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = cv2.VideoWriter

    def without(*codecs: int) -> Any:
        return lambda path, api, codec, *rest: real() if codec in codecs else real(path, api, codec, *rest)

    vp8, mpeg4 = (cv2.VideoWriter_fourcc(*name) for name in ("VP80", "mp4v"))
    monkeypatch.setattr(cv2, "VideoWriter", without(vp8))
    film = plain_film(tmp_path)
    with pytest.raises(PainterError, match=r"as WebM on this computer\. Save the film as MP4 instead"):
        write_film(film, tmp_path / "film.webm", matched=as_placed(film))
    monkeypatch.setattr(cv2, "VideoWriter", without(vp8, mpeg4))
    with pytest.raises(PainterError, match="Save it as an animated picture"):
        write_film(film, tmp_path / "film.mp4", matched=as_placed(film))
    assert left_behind(tmp_path) == set()


def test_what_cannot_be_written_or_read(tmp_path: Path) -> None:
    film = plain_film(tmp_path)
    with pytest.raises(PainterError, match=r"cannot be written as “\.avi”"):
        write_film(film, tmp_path / "film.avi")
    with pytest.raises(PainterError, match="There is no folder"):
        write_film(film, tmp_path / "none" / "film.webm", matched=as_placed(film))
    with pytest.raises(PainterError, match="One photo makes no film"):
        write_film(replace(film, shots=film.shots[:1]), tmp_path / "film.webm")
    (tmp_path / "photo folder.webm").mkdir()
    for name, told in (
        ("photo folder", "is the name of a folder"),
        ("a" * 300, "could not be"),
        ("a\0b", "could not be"),
    ):
        with pytest.raises(PainterError, match=told):
            write_film(film, tmp_path / f"{name}.webm", matched=as_placed(film), progress=never)
    (tmp_path / "photo 1.png").unlink()
    with pytest.raises(PhotoError, match=r"There is no file “photo 1\.png”"):
        write_film(film, tmp_path / "film.webm", matched=as_placed(film))
    far = replace(film.shots[0], corners=tuple((x + 3000, y) for x, y in film.shots[0].corners or ()))
    with pytest.raises(CanvasError, match=r"“photo 0\.png”: The top left corner"):
        write_film(replace(film, shots=(far, film.shots[2])), tmp_path / "film.webm")
    assert left_behind(tmp_path) == set()


def never(share: float, doing: str) -> None:
    pytest.fail("the film was begun")


def test_a_canvas_that_stands_upright(tmp_path: Path) -> None:
    upright = tuple(CORNERS[k] for k in (3, 0, 1, 2))  # photographed lying on its side
    film = plain_film(tmp_path)
    film = replace(film, size=SIZE.turned, shots=tuple(replace(shot, corners=upright) for shot in film.shots))
    frames = written(film, tmp_path / "film.mp4")
    assert frames[0].shape == (214, 160, 3)
    assert np.abs(frames[0].astype(int) - COLOURS[0]).max() <= 4


def test_photos_of_other_sizes_lie_alike(tmp_path: Path) -> None:
    film = plain_film(tmp_path)
    twice = plain_photo(tmp_path, 1, COLOURS[1], wide=1040, high=780)
    corners = tuple((2 * x + 0.5, 2 * y + 0.5) for x, y in film.shots[1].corners or ())
    film = replace(film, shots=(film.shots[0], replace(film.shots[1], photo=twice, corners=corners), film.shots[2]))
    frames = written(film, tmp_path / "film.webm")
    assert np.abs(frames[8].astype(int) - COLOURS[1]).max() <= 4


def test_the_preview_comes_photo_by_photo(tmp_path: Path) -> None:
    film = plain_film(tmp_path, "One", "Two", "Three", settings=replace(QUICK, width_px=1280, even=False))
    seen = preview(film, width_px=120)
    (tmp_path / "photo 2.png").unlink()  # not looked at before its turn
    first, moment = next(seen)
    assert first.shape[1] == 120
    assert (moment.photo, moment.share, moment.frames) == (0, 0.0, 4)
    assert np.abs(first[:80].astype(int) - COLOURS[0]).max() <= 1
    for _ in range(4):
        next(seen)
    with pytest.raises(PhotoError):
        next(seen)


def test_what_is_not_as_it_should_be_is_told(tmp_path: Path) -> None:
    film = plain_film(tmp_path, settings=replace(QUICK, width_px=640, even=False, stand_s=0.1, fade_s=0.0, hold_s=0.0))
    notes = write_film(film, tmp_path / "film.mp4").notes
    assert "“photo 0.png” has too little in common with the photo beside it to be held still by its paint." in notes
    assert "“photo 2.png” shows the canvas 399 pixels across; it is softer in a film of 640." in notes
    assert len(notes) == 2 + 3


def test_the_poster(tmp_path: Path) -> None:
    film = plain_film(tmp_path)
    save_poster(film, tmp_path / "poster.png", width_px=300)
    poster = np.asarray(Image.open(tmp_path / "poster.png")).astype(int)
    assert poster.shape == (246, 300, 3)
    assert (poster[:226] == COLOURS[2]).all()
    assert poster[226:].max() > 200  # its title is there
    save_poster(film, tmp_path / "poster.jpg")
    with pytest.raises(PainterError, match=r"End its name in \.jpg or \.png"):
        save_poster(film, tmp_path / "poster.tif")


def test_before_and_after_lie_alike(tmp_path: Path) -> None:
    film = plain_film(tmp_path, settings=FilmSettings(steady=False, even=False))
    pair = before_after(film, 0, 2, width_px=200)
    assert pair.before.shape == pair.after.shape == (150, 200, 3)
    assert (pair.before == COLOURS[0]).all()
    assert (pair.after == COLOURS[2]).all()
    assert pair.px_per_mm == 1.0
