"""What the tests of the temperature question share: patches of known warmth, open in a window with a canvas photo."""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from pytestqt.qtbot import QtBot

from app.questions.temperature import TemperaturePanel
from app.view import Hung, Look, Question, Subject, View
from app.work import Worker
from core.colorimetry import encode_srgb, rgb_from_xyz, xyz_from_lab
from core.painting import Painting
from core.size import Size
from core.temperature.warmth import TO_A, TO_B
from tests.app.window_case import Easel, make_easel

SIZE = Size(200, 150)
PX_PER_MM = 4
GROUND = 2.0
PATCHES = {(50.0, 40.0): 10.0, (150.0, 40.0): -8.0, (50.0, 110.0): 5.0, (150.0, 110.0): -1.0}
"""T of discs of 12 mm radius by their middle, mm; the rest has that of the ground."""
CORNERS = ((-0.5, -0.5), (799.5, -0.5), (799.5, 599.5), (-0.5, 599.5))


def picture(
    patches: dict[tuple[float, float], float] = PATCHES,
    *,
    gains: tuple[float, float, float] = (1.0, 1.0, 1.0),
    light: float = 60.0,
    dark: float = 60.0,
) -> NDArray[np.uint8]:
    """The patches at 4 px/mm in sRGB; the upper half of lightness ``light``, the lower ``dark``."""
    y, x = (np.mgrid[: SIZE.height_mm * PX_PER_MM, : SIZE.width_mm * PX_PER_MM] + 0.5) / PX_PER_MM
    told = np.full(x.shape, GROUND)
    for (cx, cy), warmth in patches.items():
        told[np.hypot(x - cx, y - cy) < 12] = warmth
    lightness = np.where(y < SIZE.height_mm / 2, light, dark)
    colour = np.stack([lightness, TO_A * told, TO_B * told], axis=-1)
    linear = rgb_from_xyz(xyz_from_lab(colour)) * np.array(gains)
    return np.rint(255 * encode_srgb(np.clip(linear, 0, 1))).astype(np.uint8)


def warm_easel(
    qtbot: QtBot, worker: Worker, folder: Path, *, reference: NDArray[np.uint8], canvas: NDArray[np.uint8] | None = None
) -> Easel:
    """A painting of a reference, with a canvas photo that the canvas fills, the temperature panel open."""
    Image.fromarray(reference).save(folder / "reference.png")
    with Painting.create(folder / "painting", "Patches", SIZE, folder / "reference.png") as painting:
        if canvas is not None:
            Image.fromarray(canvas).save(folder / "canvas.png")
            photo = painting.add_canvas_photo(painting.import_photo(folder / "canvas.png").id, name="canvas")
            painting.set_corners(photo.id, CORNERS)
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(folder / "painting")
    view = View(hung=(Hung(), Hung(look=Look.GREY)), question=Question.TEMPERATURE)
    if canvas is not None:
        photo_id = made.desk.studio.canvas_photos[0].id
        view = View(
            hung=(Hung(), Hung(Subject.CANVAS)), selected=1, canvas_photo=photo_id, question=Question.TEMPERATURE
        )
    made.desk.studio.change_view(view)
    return made


def panel(easel: Easel) -> TemperaturePanel:
    found: TemperaturePanel = easel.desk.side.temperature
    return found


COOLED = PATCHES | {next(iter(PATCHES)): 4.0}
"""The first patch, the warm one, is painted too cool."""


@cache
def cooled_pictures() -> tuple[np.ndarray, np.ndarray]:
    """A reference of the patches, and a canvas of those painted."""
    return picture(), picture(COOLED)


def cooled_easel(qtbot: QtBot, worker: Worker, folder: Path) -> Easel:
    reference, canvas = cooled_pictures()
    return warm_easel(qtbot, worker, folder, reference=reference, canvas=canvas)
