"""Corner tabs beside the canvas: once a photo with them lies flat, the next ones are laid flat by them unasked."""

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from app.studio import Studio
from app.work import Progress
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Corners
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.tab_fix import TabFix
    from core.canvas.tabs import TabSetup

SETTING = "corner tabs"
_SET_UP, _FIND = "corner tabs: set up", "corner tabs: find"
_OF_HAND_MM, _OF_OUTLINE_MM = 0.3, 0.1
"""How far off corners may be that were placed; ours, so that what is told of later photos is not too little."""
_SEEN = (
    "Corner tabs are seen beside the canvas: photos that show two of them are laid flat by themselves from now on. "
    "Keep the tabs in the plane of the canvas’s face."
)


@dataclass(frozen=True, eq=False)
class Laid:
    """Canvas photos that were laid flat by their tabs, and those that were not."""

    fixes: dict[int, "TabFix"]
    unlaid: tuple[int, ...]


class Tabs(QObject):
    """``said``: a sentence. ``laid``: canvas photos that lie flat now, and those that still want corners."""

    said = Signal(str)
    laid = Signal(object, object)  # list of int, each

    def __init__(self, studio: Studio, parent: QObject) -> None:
        super().__init__(parent)
        self._studio = studio

    @property
    def setup(self) -> "tuple[TabSetup, float] | None":
        """How the tabs lie, and the lens of the photo that told it; None where that is not known."""
        from core.canvas.tabs import TabSetup

        kept = self._studio.painting.setting(SETTING)
        try:
            setup, lens_k1 = TabSetup.from_json(kept["setup"]), float(kept["lens_k1"])
        except (KeyError, TypeError, ValueError, PainterError):
            return None
        return (setup, lens_k1) if setup.size == self._studio.painting.size else None

    def learn(self, canvas_photo: int) -> None:
        """A photo has its corners: if tabs are beside them, it is kept how they lie."""
        photo = self._photo(canvas_photo)
        if photo is None or photo.corners is None or photo.found_by == "tabs" or self._studio.painting.read_only:
            return
        file, size = self._studio.painting.photo_file(photo.photo.id), self._studio.painting.size
        doubt = _OF_OUTLINE_MM if photo.found_by == "outline" else _OF_HAND_MM
        work = partial(_set_up, file, photo.corners, size, photo.lens_k1, doubt)
        self._studio.worker.run(_SET_UP, work, self._keep, self.said.emit)

    def find(self, canvas_photos: list[int]) -> None:
        """Lay these flat by their tabs, where that can be; ``laid`` follows."""
        known = self.setup
        wanted = [each for each in map(self._photo, canvas_photos) if each is not None and each.corners is None]
        if known is None or not wanted:
            self.laid.emit([], [photo.id for photo in wanted])
            return
        files = {photo.id: self._studio.painting.photo_file(photo.photo.id) for photo in wanted}
        failed = partial(self.laid.emit, [], [photo.id for photo in wanted])
        self._studio.worker.run(_FIND, partial(_find, files, *known), self._take, lambda _: failed())

    def _take(self, laid: Laid) -> None:
        done, painting = [], self._studio.painting
        try:
            with painting.step("laid photos flat by their tabs"):
                for canvas_photo, fix in laid.fixes.items():
                    painting.set_corners(canvas_photo, _four(fix.corners_px), found_by="tabs", lens_k1=fix.k1)
                    done.append(canvas_photo)
        except PainterError as trouble:
            done.clear()
            self.said.emit(str(trouble))
        notes = dict.fromkeys(note for fix in laid.fixes.values() for note in fix.notes)
        if notes:
            self.said.emit(" ".join(notes))
        self.laid.emit(done, list(laid.unlaid))

    def _keep(self, kept: dict[str, Any] | None) -> None:
        if kept is not None:
            is_new = self.setup is None
            self._studio.keep(SETTING, kept)
            if is_new:
                self.said.emit(_SEEN)

    def _photo(self, canvas_photo: int) -> CanvasPhotoRecord | None:
        return next((photo for photo in self._studio.canvas_photos if photo.id == canvas_photo), None)


def write_tabs(paper: str, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.tabs_page import tabs_page

    progress(say="Setting the tabs")
    tabs_page(path, paper=paper)
    return "The corner tabs, one page. Print it at actual size, and stick each tab beside its corner of the canvas."


def _set_up(
    file: Path, corners: Corners, size: Size, lens_k1: float | None, doubt_mm: float, progress: Progress
) -> dict[str, Any] | None:
    """What is kept; None where there are no tabs."""
    from core.canvas.tab_find import find_tabs
    from core.canvas.tabs import set_up
    from core.photo import load_photo

    progress(say="Looking for corner tabs")
    found = find_tabs(load_photo(file))
    if len(found) < 2:
        return None
    lens = lens_k1 or 0.0
    return {
        "setup": set_up(found, corners, size, lens_k1=lens, uncertainty_mm=doubt_mm).to_json(), "lens_k1": lens,
    }  # fmt: skip


def _find(files: dict[int, Path], setup: "TabSetup", lens_k1: float, progress: Progress) -> Laid:
    """Photos that show fewer than two tabs, or tabs that have moved, are left."""
    from core.canvas.tab_find import find_tabs
    from core.canvas.tab_fix import fix_by_tabs
    from core.photo import load_photo

    fixes = {}
    for number, (canvas_photo, file) in enumerate(files.items()):
        progress(number / len(files), "Looking for corner tabs")
        try:
            fixes[canvas_photo] = fix_by_tabs(find_tabs(load_photo(file)), setup, lens_k1=lens_k1)
        except PainterError:
            continue
    return Laid(fixes, tuple(photo for photo in files if photo not in fixes))


def _four(corners: Any) -> Corners:
    one, two, three, four = (tuple(map(float, each)) for each in corners)
    return one, two, three, four  # type: ignore[return-value]
