"""From corners that were placed once on a held frame to a follower: by the tabs that are seen there, else by edges."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.corners import Placed
from app.live.outside import Outside
from app.work import Progress
from core.errors import CanvasError
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.following import Follower
    from core.frames.frame import Frame

OF_HAND_MM, OF_OUTLINE_MM = 0.3, 0.1
"""How far off corners may be that were placed: as for canvas photos, ours."""


@dataclass(frozen=True, eq=False)
class Learnt:
    """``lens_k1``: of the camera. ``tabs``: the set-up of the corner tabs as it is kept with the painting, where two
    are seen. ``say``: what is wrong with them, or nothing."""

    follower: "Follower"
    lens_k1: float
    tabs: dict[str, Any] | None = None
    say: str = ""


def learn(frame: "Frame", placed: Placed, size: Size, outside: Outside, progress: Progress) -> Learnt:
    """Raises CanvasError where there is nothing to follow the canvas by."""
    from core.canvas.tab_find import find_tabs
    from core.canvas.tabs import set_up

    progress(say="Looking for corner tabs")
    found, say = find_tabs(frame.photo()), ""
    if len(found) >= 2:
        doubt = OF_OUTLINE_MM if placed.found_by == "outline" else OF_HAND_MM
        try:
            setup = set_up(found, placed.corners, size, lens_k1=placed.lens_k1, uncertainty_mm=doubt)
        except CanvasError as trouble:
            say = str(trouble)
        else:
            kept = {"setup": setup.to_json(), "lens_k1": placed.lens_k1}
            return Learnt(outside.by_tabs(setup, placed.lens_k1), placed.lens_k1, kept)
    progress(say="Reading the canvas’s edges")
    return Learnt(outside.by_edges(size, placed.corners, frame, placed.lens_k1), placed.lens_k1, say=say)
