"""Plain photos of a canvas of one colour each, on disk, and what a written film holds."""

from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.progress_film.film import FilmSettings, FilmShot, Overlay, ProgressFilm
from core.progress_film.match import Matched
from core.size import Size

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

SIZE = Size(200, 150)
CORNERS = ((60.0, 45.0), (459.0, 45.0), (459.0, 344.0), (60.0, 344.0))
COLOURS: tuple[Colour, ...] = ((200, 60, 40), (60, 140, 70), (40, 70, 190))
QUICK = FilmSettings(rate=10, stand_s=0.4, fade_s=0.3, hold_s=0.5, width_px=160)


def plain_photo(folder: Path, number: int, colour: Colour, *, wide: int = 520, high: int = 390) -> Path:
    path = folder / f"photo {number}.png"
    Image.new("RGB", (wide, high), colour).save(path)
    return path


def plain_film(
    folder: Path, *titles: str, settings: FilmSettings = QUICK, overlay: Overlay | None = None
) -> ProgressFilm:
    shots = tuple(
        FilmShot(plain_photo(folder, number, colour), CORNERS, title=title)
        for number, (colour, title) in enumerate(zip(COLOURS, titles or ("", "", ""), strict=False))
    )
    return ProgressFilm(SIZE, shots, settings, overlay, title="Jug")


def as_placed(film: ProgressFilm) -> tuple[Matched, ...]:
    """Corners as they were placed, the light as it is."""
    return tuple(Matched(shot.checked_corners()) for shot in film.in_order)


def frames_of(path: Path) -> list[Pixels]:
    """Red first."""
    capture, frames = cv2.VideoCapture(str(path), cv2.CAP_FFMPEG), list[Pixels]()
    while True:
        come, frame = capture.read()
        if not come:
            capture.release()
            return frames
        frames.append(np.ascontiguousarray(frame[..., ::-1]))


def left_behind(folder: Path) -> set[str]:
    """Names in a folder beside the photos'."""
    return {path.name for path in folder.iterdir() if not path.name.startswith("photo")}
