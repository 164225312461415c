"""A line drawing coming in: read and checked in a worker, then kept with the painting as SVG in mm."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from app.studio import Studio
from app.work import Progress
from core.drawing.drawing import Drawing
from core.errors import PainterError
from core.size import Size

CHANNEL = "bring in drawing"


def bring_in_drawing(
    studio: Studio, file: Path, came: Callable[[Drawing], None], refused: Callable[[str], None]
) -> None:
    """``came`` gets the drawing once it is safely kept; ``refused`` a sentence when it cannot be read."""

    def keep(read: tuple[str, Drawing]) -> None:
        text, drawing = read
        studio.keep_now()
        try:
            studio.painting.set_drawing(text, note=file.name, label="brought in a drawing")
        except PainterError as trouble:
            refused(str(trouble))
        else:
            came(drawing)

    studio.worker.run(CHANNEL, partial(read_svg, file, studio.painting.size), keep, refused)


def read_svg(file: Path, size: Size, progress: Progress) -> tuple[str, Drawing]:
    """The drawing, and as it is kept. Raises DrawingError with a sentence."""
    from core.drawing.svg_read import read_drawing
    from core.drawing.svg_write import drawing_to_svg

    progress(say="Reading the drawing")
    drawing = read_drawing(file, size)
    return drawing_to_svg(drawing), drawing
