"""What the tests of the value question share: a small still life, open in a window."""

from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image
from pytestqt.qtbot import QtBot

from app.view import Hung, Look, View
from app.work import Worker
from core.demo import DEMO, DEMO_SIZE
from core.painting import Painting
from tests.app.window_case import Easel, make_easel

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">
<path id="rim" d="M 100 50 C 130 40 190 40 220 50" fill="none" stroke="black"/>
<circle class="landmark" id="handle" cx="250" cy="110" r="1"/></svg>"""


def still_life(qtbot: QtBot, worker: Worker, folder: Path) -> Easel:
    """The jug and quinces at 600 × 450 pixels, hung in colour and in grey; no canvas photo yet."""
    file = folder / "still life.png"
    file.write_bytes(_small())
    with Painting.create(folder / "painting", "Jug", DEMO_SIZE, file) as painting:
        painting.set_drawing(DRAWING)
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(folder / "painting")
    made.desk.studio.change_view(View(hung=(Hung(), Hung(look=Look.GREY))))
    return made


@cache
def _small() -> bytes:
    with Image.open(DEMO / "reference.jpg") as picture:
        held = BytesIO()
        picture.resize((600, 450), Image.Resampling.BOX).save(held, "PNG")
        return held.getvalue()
