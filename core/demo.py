"""The demo painting that comes with the program: an enamel jug, quinces and linen, painted in three sittings."""

from pathlib import Path

from core.assets import FOLDER
from core.check import CheckRequest, load_request
from core.demo_sittings import keep_sittings
from core.painting import Painting
from core.size import Size

DEMO = FOLDER / "demo"
DEMO_SIZE = Size(400, 300)
SITTINGS = ("canvas-1.jpg", "canvas-2.jpg", "canvas-3.jpg")


def demo_request(sitting: int = 3) -> CheckRequest:
    """The check of one sitting of the demo painting (1 to 3); the last has a photo of its blank canvas."""
    return load_request(
        reference=DEMO / "reference.jpg",
        photo=DEMO / SITTINGS[sitting - 1],
        size=DEMO_SIZE,
        drawing=DEMO / "drawing.svg",
        blank=DEMO / "blank.jpg" if sitting == len(SITTINGS) else None,
    )


def make_demo_painting(folder: Path) -> Painting:
    """Make the demo painting in a new or empty ``folder``, with its drawing and its three sittings on the ledge.

    The first two of them are in the log of its sittings, and the third is planned.
    """
    painting = Painting.create(folder, "Enamel jug and quinces", DEMO_SIZE, DEMO / "reference.jpg")
    painting.set_drawing((DEMO / "drawing.svg").read_text(encoding="utf-8"), note="the demo's drawing")
    for number, name in enumerate(SITTINGS, start=1):
        painting.add_canvas_photo(painting.import_photo(DEMO / name).id, sitting=number, name=f"Sitting {number}")
    keep_sittings(painting)
    blank = painting.import_photo(DEMO / "blank.jpg")
    painting.add_canvas_photo(blank.id, sitting=len(SITTINGS), name="Blank", is_blank=True)
    return painting
