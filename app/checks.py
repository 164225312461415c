"""Checks of canvas photos: carried out in a worker, kept in the painting's folder, and read back for the panels."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from app.courses import Kept, read_courses, read_kept, read_progress
from app.edges.found import FoundStretch, keep_edges, read_brief, read_says, read_stretches
from app.edges.kept import kept_brief
from app.findings import Findings, passages_as_json, read_outlines, stored
from app.kept_reads import KeptReads
from app.picture import Picture
from app.prints import Print, Source, filling
from app.temperatures.found import MAP as WARMTH
from app.temperatures.found import WarmthFound, difference_picture, keep_warmth, read_warmth
from app.values.lamp_moved import MovedPhoto, moved_photos, read_photos
from app.values.light_found import LightFound, keep_light, read_light
from app.values.looks import KeyedKey
from app.view import Look
from app.wall.mapping import Mapping
from app.work import Progress, Worker
from core.drawing.history import Course
from core.edge.brief import EdgeBrief
from core.errors import CanvasError
from core.mend_weights import MEND_WEIGHTS, USUAL_WEIGHTS, MendWeights
from core.painting import CanvasPhotoRecord, Corners, Painting
from core.size import Size

if TYPE_CHECKING:
    from core.check_light import KnownGrey
    from core.drawing.by_hand import Hand

Map = NDArray[np.float32]
CHECK, READ, SHEET_WORK = "check", "read check", "check sheet"
SHEET = "check.pdf"
_MAPS, _LIT = "check.npz", "canvas.png"
_DIFFERENCE_PX = 1200  # of the shorter side
CONTOUR_STEPS = 0.5


@dataclass(frozen=True)
class Order:
    """Everything that a check is made from, as it was when the check was asked for."""

    canvas_photo: int
    size: Size
    reference: Path
    crop: Corners | None
    photo: Path
    corners: Corners
    lens_k1: float
    blank: Path | None
    drawing: str | None
    steps: int
    folder: Path
    by_hand: "tuple[tuple[str, Hand], ...]" = ()
    keyed: KeyedKey | None = None
    greys: "tuple[KnownGrey, ...]" = ()
    chart: bool = False
    lamp_moved: tuple[MovedPhoto, ...] = ()
    weights: MendWeights = USUAL_WEIGHTS
    edge_brief: EdgeBrief | None = None


@dataclass(frozen=True, eq=False)
class Checked:
    """A check as the window shows it. ``maps``, as in check.npz, and the differences are absent when their file is, or
    the question could not be asked. ``warmth``, ``stretches`` of edges: None of a check from before that question;
    ``edge_brief``: of the plan that edges were held against.

    ``lit``: the canvas with its light taken out; ``light``: that light. ``courses``: each landmark over the sittings up
    to this photo; ``progress``: how the values went, in sentences.
    """

    findings: Findings
    outlines: dict[int, tuple[NDArray[np.float64], ...]] = field(default_factory=dict)
    maps: dict[str, Map] = field(default_factory=dict)
    difference: Print | None = None
    lit: Source | None = None
    light: LightFound | None = None
    sheet_file: Path | None = None
    courses: dict[str, Course] = field(default_factory=dict)
    progress: tuple[str, ...] = ()
    warmth: WarmthFound | None = None
    warmth_difference: Print | None = None
    stretches: tuple[FoundStretch, ...] | None = None
    edge_says: tuple[str, ...] = ()
    edge_brief: EdgeBrief | None = None

    def compared(self, look: Look) -> Print | None:
        """The picture of both that a look is; None where there is none."""
        return {Look.DIFFERENCE: self.difference, Look.WARMTH_DIFFERENCE: self.warmth_difference}.get(look)

    @property
    def sheet(self) -> Path | None:
        """The printed sheet; None where it is not there, or not yet."""
        return self.sheet_file if self.sheet_file is not None and self.sheet_file.is_file() else None

    def refused(self, look: Look) -> str:
        """Why there is no such picture though the question was asked, in a sentence; else empty."""
        return self.warmth.refused if look is Look.WARMTH_DIFFERENCE and self.warmth is not None else ""

    def at(self, name: str, x_mm: float, y_mm: float) -> float | None:
        """What a map says at a point of the canvas; None where it was withheld."""
        found = self.maps.get(name)
        return None if found is None else value_at(found, x_mm, y_mm, self.findings.size)


class Checker(QObject):
    """Runs one check at a time and keeps what came of it with the painting."""

    made = Signal(int)  # canvas photo
    outdated = Signal(int)  # something it was made from was changed meanwhile
    failed = Signal(str)
    read = Signal(int, object)  # canvas photo, Checked or None

    def __init__(
        self,
        painting: Painting,
        worker: Worker,
        parent: QObject | None = None,
        *,
        keyed: Callable[[], KeyedKey | None] = lambda: None,
    ) -> None:
        super().__init__(parent)
        self._painting = painting
        self._worker = worker
        self._keyed = keyed
        self.kept = KeptReads()
        self.greys: Callable[[int], tuple[KnownGrey, ...]] = lambda canvas_photo: ()
        self.chart: Callable[[int], bool] = lambda canvas_photo: False

    @property
    def is_busy(self) -> bool:
        return self._worker.is_busy(CHECK)

    def order(self, canvas_photo: int) -> Order | None:
        """What a check of this photo would be made from; None when its corners or the reference are missing."""
        painting, photo = self._painting, self._painting.canvas_photo(canvas_photo)
        reference = painting.reference
        if photo.corners is None or reference is None:
            return None
        blank = painting.blank_for(canvas_photo)
        return Order(
            canvas_photo=canvas_photo,
            size=painting.size,
            reference=painting.photo_file(reference.photo.id),
            crop=reference.crop,
            photo=painting.photo_file(photo.photo.id),
            corners=photo.corners,
            lens_k1=photo.lens_k1,
            blank=None if blank is None else painting.photo_file(blank.photo.id),
            drawing=painting.drawing_svg,
            steps=painting.steps,
            folder=check_folder(painting, canvas_photo),
            by_hand=tuple(self.hands(photo).items()),
            keyed=self._keyed(),
            greys=self.greys(canvas_photo),
            chart=self.chart(canvas_photo),
            lamp_moved=moved_photos(painting, canvas_photo),
            weights=MendWeights.from_json(painting.plan(MEND_WEIGHTS)),
            edge_brief=kept_brief(painting),
        )

    def hands(self, photo: CanvasPhotoRecord) -> "dict[str, Hand]":
        """The landmarks placed by hand on a canvas photo, by name, as its corners lie now."""
        placed = self._painting.landmarks_by_hand(photo.id)
        if not placed:
            return {}
        from core.hand_places import hands_on_canvas

        try:
            return hands_on_canvas(placed, photo.corners, self._painting.size, photo.lens_k1)
        except CanvasError as trouble:
            self.failed.emit(str(trouble))
            return {}

    def run(self, order: Order, ended: Callable[[], None]) -> None:
        """Begin the check; ``made``, ``outdated`` or ``failed`` follows unless it is stopped."""
        work = partial(find_out, order, self.kept)
        self._worker.run(CHECK, work, partial(self._keep, order), self.failed.emit, ended)

    @property
    def is_drawing(self) -> bool:
        """Whether the printed sheet and the pictures of the last check are still being made."""
        return self._worker.is_busy(SHEET_WORK)

    def read_back(self, canvas_photo: int) -> None:
        """Read the last check of a photo; ``read`` follows."""
        kept = self._kept(canvas_photo)
        if not kept or kept[-1].photo.id != canvas_photo:
            self._worker.cancel(READ)
            self.read.emit(canvas_photo, None)
            return
        work = partial(read_check, kept, self._painting.size, check_folder(self._painting, canvas_photo))
        self._worker.run(READ, work, partial(self.read.emit, canvas_photo), self.failed.emit)

    def _kept(self, canvas_photo: int) -> tuple[Kept, ...]:
        """The checks of this photo and of all before it on the ledge; this photo's own, if it has one, last."""
        found = []
        for photo in self._painting.canvas_photos():
            record = None if photo.is_blank else self._painting.check_result(photo.id)
            if record is not None:
                found.append(Kept(photo, record, self.hands(photo)))
            if photo.id == canvas_photo:
                break
        return tuple(found)

    def _keep(self, order: Order, found: "FoundOut") -> None:
        now = self.order(order.canvas_photo)
        # The hand and the weights count whenever a check is read.
        if now is None or replace(now, by_hand=order.by_hand, weights=order.weights) != order:
            self.outdated.emit(order.canvas_photo)
            return
        self._painting.set_check_result(order.canvas_photo, found.text)
        self._worker.run(SHEET_WORK, found.draw, lambda _: None, self.failed.emit)
        self.made.emit(order.canvas_photo)


def check_folder(painting: Painting, canvas_photo: int) -> Path:
    """Where the files of a check lie: beside the photos, one folder for each canvas photo."""
    return painting.folder / "checks" / f"canvas-photo-{canvas_photo}"


@dataclass(frozen=True, eq=False)
class FoundOut:
    """``text``: what is kept with the painting. ``draw`` makes the printed sheet and the pictures, which nobody need
    wait for."""

    text: str
    draw: Callable[[Progress], None]


def carry_out(order: Order, progress: Progress) -> str:
    """Run the check and write all of its files; gives the text that is kept with the painting."""
    found = find_out(order, KeptReads(), progress)
    found.draw(progress)
    return found.text


def find_out(order: Order, held: KeptReads, progress: Progress) -> FoundOut:
    """Run the check and write what it found; the sheet of an earlier check goes."""
    progress(0.0, "Reading the photographs")
    # The check brings scipy and the sheet reportlab with it: neither is wanted before the first check.
    from core.check import CheckRequest, run_check
    from core.check_files import as_json, drawing_as_json, write_findings, write_pictures
    from core.drawing.svg_read import drawing_from_svg
    from core.value.keying import Keying
    from core.value.reach import Reach

    load_photo = held.photos.photo
    request = CheckRequest(
        reference=held.references.photo(order.reference),
        photo=load_photo(order.photo),
        size=order.size,
        drawing=None if order.drawing is None else drawing_from_svg(order.drawing, order.size),
        corners_px=np.asarray(order.corners, dtype=np.float64),
        blank=None if order.blank is None else load_photo(order.blank),
        steps=order.steps,
        reference_crop=None if order.crop is None else np.asarray(order.crop, dtype=np.float64),
        by_hand=dict(order.by_hand),
        keying=None if order.keyed is None else Keying(order.keyed.keying),
        reach=None if order.keyed is None else Reach(order.keyed.darkest, order.keyed.lightest),
        greys=order.greys,
        chart=order.chart,
        lamp_moved=read_photos(order.lamp_moved),
        weights=order.weights,
        edge_brief=order.edge_brief,
    )
    result = run_check(
        request,
        progress=lambda share, doing: progress(0.9 * share, _said(doing)),
        kept=held.reference,
        fix=held.fixes.get((order.photo, order.corners)),
    )
    progress(0.95, "Writing down what was found")
    (order.folder / SHEET).unlink(missing_ok=True)
    write_findings(result, order.folder)
    light = keep_light(result, order.folder)
    progress(1.0, "Done")
    measured = None if (found := result.measured) is None else drawing_as_json(found.whole, found.landmarks)
    places = {name: (hand.x_mm, hand.y_mm) for name, hand in order.by_hand}
    whole = result.values.relations.say(len(result.values.passages))
    passages = passages_as_json(result)
    text = stored(
        as_json(result),
        result.certainty,
        passages,
        measured=measured,
        by_hand=places,
        value_whole=whole,
        light=light,
        warmth=keep_warmth(result),
        edges=keep_edges(result),
        weights=order.weights,
    )

    def draw(progress: Progress) -> None:
        progress(say="Making the printed sheet")
        write_pictures(result, order.folder)

    return FoundOut(text, draw)


def read_check(kept: tuple[Kept, ...], size: Size, folder: Path, progress: Progress) -> Checked | None:
    """The last of the checks kept, from the painting's records and its files, and how the landmarks went up to it; None
    when it cannot be read any more."""
    progress(say="Reading the check")
    findings, record = read_kept(kept[-1], size), kept[-1].record
    if findings is None:
        return None
    mine = _are_of(folder, record.result)
    maps = _maps(folder / _MAPS) if mine else {}
    warm = read_warmth(record.result)
    return Checked(
        findings=findings,
        outlines=read_outlines(record.result),
        maps=maps,
        difference=difference_print(maps, size),
        lit=filling(folder / _LIT, kept[-1].photo.photo.id, size) if mine else None,
        light=read_light(record.result, folder),
        sheet_file=folder / SHEET if mine else None,
        courses=read_courses(kept, findings, size),
        progress=read_progress(kept, size),
        warmth=warm,
        warmth_difference=None if warm is None else difference_picture(maps.get(WARMTH), size, warm.uncertainty),
        stretches=read_stretches(record.result),
        edge_says=read_says(record.result),
        edge_brief=read_brief(record.result),
    )


def difference_print(maps: dict[str, Map], size: Size) -> Print | None:
    """The value difference as a picture, each mm of its map several pixels wide, so that the hatching is fine."""
    from core.value.contour_lines import field_contours
    from core.value.contour_picture import with_contours
    from core.value.picture import difference_picture

    found = maps.get("value_difference")
    if found is None:
        return None
    times = max(1, round(_DIFFERENCE_PX / min(found.shape)))
    wide = np.repeat(np.repeat(found, times, axis=0), times, axis=1)
    px_per_mm = wide.shape[1] / size.width_mm
    lines = field_contours(found, px_per_mm=px_per_mm / times, every=CONTOUR_STEPS)
    drawn = with_contours(difference_picture(wide), lines, px_per_mm=px_per_mm)
    return Print(Picture.from_srgb(drawn), Mapping.flat(px_per_mm))


def value_at(values: Map, x_mm: float, y_mm: float, size: Size) -> float | None:
    """A map of the whole canvas read at a point, mm; None off the canvas and where nothing is known."""
    row, column = int(y_mm / size.height_mm * values.shape[0]), int(x_mm / size.width_mm * values.shape[1])
    if x_mm < 0 or y_mm < 0 or row >= values.shape[0] or column >= values.shape[1]:
        return None
    value = float(values[row, column])
    return value if np.isfinite(value) else None


def _are_of(folder: Path, result: str) -> bool:
    """Whether the files are those of this check: a later one writes over them, and may not have been kept, or is not
    yet there on an earlier day that is looked at."""
    try:
        return bool(json.loads((folder / "check.json").read_bytes()) == json.loads(result).get("check"))
    except FileNotFoundError:
        return True
    except (OSError, ValueError):
        return False


def _maps(file: Path) -> dict[str, Map]:
    try:
        with np.load(file, allow_pickle=False) as held:
            found = {name: held[name] for name in ("value_reference", "value_canvas", "value_difference")}
            return found | {name: held[name] for name in (WARMTH,) if name in held}
    except (OSError, ValueError, KeyError):
        return {}


def _said(doing: str) -> str:
    return doing[:1].upper() + doing[1:]
