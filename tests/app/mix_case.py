"""What the tests of the mix panel share: passages of known mixes, open in a window, and what is shown of them."""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from pytestqt.qtbot import QtBot

from app.questions.mix import MixPanel
from app.view import Hung, Question, Subject, View
from app.work import Worker
from core.colorimetry import encode_srgb
from core.paint.paint import predict
from core.paint.spectrum import linear_rgb
from core.paint.tubes import tubes
from core.painting import Painting
from core.size import Size
from tests.app.warmth_case import CORNERS
from tests.app.window_case import Easel, make_easel

SIZE = Size(200, 150)
PX_PER_MM = 4
GREY, TAN, BLUE = (50.0, 40.0), (150.0, 40.0), (50.0, 110.0)
MIXES = {
    GREY: {"titanium white": 4, "ivory black": 1},
    TAN: {"yellow ochre": 3, "titanium white": 2, "ivory black": 1},
    BLUE: {"titanium white": 2, "ultramarine": 1},
}
"""Discs of 12 mm radius by their middle; the rest is titanium white with a little ochre."""
GROUND = {"titanium white": 8, "yellow ochre": 1}


@cache
def picture() -> NDArray[np.uint8]:
    paints = {name: tube.paint for name, tube in tubes().items()}
    y, x = (np.mgrid[: SIZE.height_mm * PX_PER_MM, : SIZE.width_mm * PX_PER_MM] + 0.5) / PX_PER_MM
    light = np.tile(linear_rgb(predict(paints, GROUND)), (*x.shape, 1))
    for (cx, cy), parts in MIXES.items():
        light[np.hypot(x - cx, y - cy) < 12] = linear_rgb(predict(paints, parts))
    return np.rint(255 * encode_srgb(np.clip(light, 0, 1))).astype(np.uint8)


def mix_easel(qtbot: QtBot, worker: Worker, folder: Path, *, canvas: bool = False) -> Easel:
    """A painting of the passages, the mix panel open; with a canvas photo beside it where that is wanted."""
    Image.fromarray(picture()).save(folder / "reference.png")
    with Painting.create(folder / "painting", "Passages", SIZE, folder / "reference.png") as painting:
        if canvas:
            Image.fromarray(picture()[:, ::-1]).save(folder / "canvas.png")
            photo = painting.add_canvas_photo(painting.import_photo(folder / "canvas.png").id, name="canvas")
            painting.set_corners(photo.id, CORNERS)
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(folder / "painting")
    hung = (Hung(), Hung(Subject.CANVAS)) if canvas else (Hung(),)
    photos = made.desk.studio.canvas_photos
    made.desk.studio.change_view(View(hung=hung, canvas_photo=photos[0].id if canvas else None, question=Question.MIX))
    return made


def panel(easel: Easel) -> MixPanel:
    found: MixPanel = easel.desk.side.mix
    return found


def press(easel: Easel, *places: tuple[float, float], which: int = 0) -> None:
    """Take the tool up and press on the pictures."""
    if easel.desk.mixing.pointing.at is None:
        panel(easel).recipe.point.click()
    for place in places:
        easel.desk.wall.clicked.emit(*place, which)


def in_hand(easel: Easel) -> dict[str, int]:
    """The parts of the mix that is shown."""
    recipe = easel.desk.studio.mixes.recipe()
    return {} if recipe is None else dict(recipe.parts)


def open_fold(easel: Easel, fold: object) -> None:
    for each in panel(easel).folds:
        each.open(each is fold)
