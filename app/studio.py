"""The open painting as the window works with it: its view, its pictures, its drawing and its findings."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.checks import Checked, Checker
from app.edges.reads import EdgeReads
from app.hangings import LaysOver, Material, hang, plain_sheet, print_key, title
from app.kept_drawings import KeptDrawings
from app.mixing.reads import MixReads
from app.picture import Picture
from app.print_room import PrintRoom
from app.prints import Print, PrintKey, Source, read_photo, whole_photo
from app.sittings.reads import SittingReads
from app.temperatures.reads import WarmthReads
from app.values.looks import keyed_key
from app.values.marks import value_marks
from app.values.reads import ValueReads
from app.view import COMPARED, ONLY_OF, Hung, Look, Subject, View
from app.wall.acetate import Ink
from app.wall.hanging import Hanging, Overlay
from app.wall.mapping import Mapping
from app.work import Progress, Worker
from core.drawing.drawing import Drawing
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Change, Painting

if TYPE_CHECKING:
    from core.photo import Photo

VIEW_SETTING = "view"
SAVE_AFTER_MS = 400


class Studio(QObject):
    """Qt only for its signals and its timer; every widget follows it."""

    view_changed = Signal()
    wall_changed = Signal()
    ledge_changed = Signal()
    drawing_changed = Signal()
    findings_changed = Signal()
    history_changed = Signal()
    said = Signal(str)  # a sentence about something that could not be done
    shares_changed = Signal()

    def __init__(self, painting: Painting, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.painting = painting
        self.worker = worker
        self.room = PrintRoom(worker, self)
        self.room.ready.connect(self._pictures_ready)
        self.room.failed.connect(self.said)
        self.checker = Checker(painting, worker, self, keyed=lambda: keyed_key(self.view.values))
        self.checker.read.connect(self._check_read)
        self.drawing: Drawing | None = None
        self.checked: Checked | None = None
        self.chosen_area: int | None = None
        self.chosen_landmark: int | None = None
        self.arrows_times = 3.0
        self.pointed: Callable[[], Overlay | None] = lambda: None  # over the canvas photo as shot
        self._ink: Ink | None = None
        self._kept_drawings = KeptDrawings(painting, self)
        self._kept_drawings.failed.connect(self._drawing_not_kept)
        self._kept_drawings.caught_up.connect(self._read_drawing)
        self._resting = self._behind = False
        self._sources: dict[Subject, Source | None] = {}
        self._on_ledge: tuple[CanvasPhotoRecord, ...] | None = None
        self.values = ValueReads(self)
        self.warmths = WarmthReads(self)
        self.edges = EdgeReads(self)
        self.mixes = MixReads(self)
        self.sittings = SittingReads(self)
        self.laid_over: list[LaysOver] = []  # by the questions, over every picture
        for reads in (self.values, self.warmths, self.edges, self.mixes):
            reads.changed.connect(self._pictures_ready)
        self.view = View.from_json(painting.setting(VIEW_SETTING), painting.steps)
        self._saving = QTimer(self)
        self._saving.setSingleShot(True)
        self._saving.setInterval(SAVE_AFTER_MS)
        self._saving.timeout.connect(self.save_view)
        painting.changed.connect(self._painting_changed)
        self._hang_what_is_there()

    def begin(self) -> None:
        """Read what the painting was left with; the signals follow."""
        self._read_drawing()
        self.read_check()

    @property
    def canvas_photos(self) -> tuple[CanvasPhotoRecord, ...]:
        """What is on the ledge, in order; asked of the painting only when it has changed."""
        if self._on_ledge is None:
            self._on_ledge = self.painting.canvas_photos()
        return self._on_ledge

    @property
    def canvas_photo(self) -> CanvasPhotoRecord | None:
        """The canvas photo that hangs, or None."""
        chosen = self.view.canvas_photo
        return next((photo for photo in self.canvas_photos if photo.id == chosen), None)

    @property
    def lit_canvas(self) -> Source | None:
        """The canvas with its light taken out, while it is wanted and a check that still holds has found it."""
        checked = self.checked
        if not self.view.light_out or self.view.as_shot or checked is None or not checked.findings.is_current:
            return None
        return checked.lit

    def change_view(self, view: View) -> None:
        """Look at things differently; it is kept within half a second."""
        if view == self.view:
            return
        other_photo = view.canvas_photo != self.view.canvas_photo
        self.view = view
        self._saving.start()
        if other_photo:
            self._sources.clear()
            self.chosen_area = self.chosen_landmark = None
            self.checked = None
            self.read_check()
            self.ledge_changed.emit()
        self.view_changed.emit()
        self.wall_changed.emit()

    def save_view(self) -> None:
        self._saving.stop()
        self.keep(VIEW_SETTING, self.view.to_json())

    def keep(self, setting: str, value: dict[str, Any]) -> None:
        """Keep how things are looked at with the painting, if it is not open only to look; trouble is said."""
        if self.painting.read_only:
            return
        try:
            if self.painting.setting(setting) != value:
                self.painting.set_setting(setting, value)
        except PainterError as trouble:
            self.said.emit(str(trouble))

    def choose(self, *, area: int | None = None, landmark: int | None = None) -> None:
        """Mark one finding on the wall."""
        self.chosen_area, self.chosen_landmark = area, landmark
        self.wall_changed.emit()

    def lengthen_arrows(self, times: float) -> None:
        self.arrows_times = times
        self.wall_changed.emit()

    def hang_canvas_photo(self, canvas_photo: int) -> None:
        self.change_view(self.view.hang_canvas_photo(canvas_photo))

    def material(self) -> Material:
        photo = self.canvas_photo
        return Material(
            view=self.view,
            reference=self.source(Subject.REFERENCE),
            canvas=self.lit_canvas or self.source(Subject.CANVAS),
            light_out=self.lit_canvas is not None,
            canvas_name=photo.name if photo is not None else "Canvas",
            ink=self._ink,
            checked=self.checked,
            chosen_area=self.chosen_area,
            chosen_landmark=self.chosen_landmark,
            arrows_times=self.arrows_times,
            boundaries=self.values.boundaries(),
            marks=value_marks(self.values, self.view),
            pointed=self.pointed(),
            warm=self.warmths.shown_by(self.view),
            edge=self.edges.shown,
            laid_over=tuple(self.laid_over),
        )

    def source(self, subject: Subject) -> Source | None:
        """The photograph behind a picture; None when there is none, or its file is gone."""
        if subject not in self._sources:
            try:
                self._sources[subject] = self._find_source(subject)
            except PainterError as trouble:
                self._sources[subject] = None
                self.said.emit(str(trouble))
        return self._sources[subject]

    def hangings(self) -> list[Hanging]:
        """What hangs now; better pictures are begun, and ``wall_changed`` says when they are ready."""
        material = self.material()
        return [self._hanging(material, hung) for hung in self.view.hung]

    def opposite(self) -> Hanging | None:
        """For blinking where one picture hangs: the other subject in the same look; None when it is not ready."""
        hung, material = self.view.chosen, self.material()
        other = Subject.REFERENCE if hung.subject is Subject.CANVAS else Subject.CANVAS
        if material.canvas is None:
            return None
        swapped = replace(hung, subject=other, look=Look.COLOUR if hung.look in ONLY_OF else hung.look)
        hanging = self._hanging(material, swapped)
        return None if hanging.picture is plain_sheet() else hanging

    def shares(self, subject: Subject) -> tuple[float, ...]:
        """How much of a picture each value step takes up; empty while that is being found out."""
        made = self.in_steps(subject)
        return made.shares if made is not None else ()

    def in_steps(self, subject: Subject) -> Print | None:
        """A picture laid flat in value steps; None while it is being made, or cannot be."""
        material = self.material()
        key = print_key(replace(material, view=replace(self.view, as_shot=False)), Hung(subject, Look.STEPS))
        return self.room.print(key) if key is not None and key.flat else None

    def read_for_corners(self, source: Source, then: Callable[["Photo", Picture], None]) -> None:
        """Read a canvas photo whole, every pixel of it; ``then`` gets the photo and its picture."""
        held = self.room.held_photo(source)

        def read(progress: Progress) -> "tuple[Photo, Picture]":
            progress(say="Reading the photograph")
            photo = held or read_photo(source.file)
            return photo, whole_photo(photo)

        self.worker.run("corner photo", read, lambda found: then(*found), self.said.emit)

    def keep_drawing(self, drawing: Drawing, label: str) -> None:
        """Keep a changed drawing with the painting, as soon as the window has shown it.

        When it cannot be kept that is ``said``, and ``drawing_changed`` brings back the one before.
        """
        self._kept_drawings.keep(drawing, label)

    def keep_now(self) -> bool:
        """Keep what is still on its way; False when that could not be done."""
        return self._kept_drawings.keep_now()

    def rest(self, resting: bool) -> None:
        """While resting, only the drawing itself follows its changes; the rest catches up afterwards."""
        self.keep_now()
        self._resting = resting
        if not resting and self._behind:
            self._catch_up()

    def read_check(self) -> None:
        photo = self.canvas_photo
        if photo is not None:
            self.checker.read_back(photo.id)
        elif self.checked is not None:
            self.checked = None
            self.findings_changed.emit()

    def undo(self) -> str | None:
        return self.painting.undo() if self.keep_now() else None

    def redo(self) -> str | None:
        return self.painting.redo() if self.keep_now() else None

    def close(self) -> None:
        """Save what is on its way and the view, and let the painting go."""
        self.keep_now()
        self.save_view()
        self.painting.changed.disconnect(self._painting_changed)
        self.room.close()
        self.painting.close()

    def _hang_what_is_there(self) -> None:
        photos = self.canvas_photos
        if self.view.canvas_photo not in {photo.id for photo in photos}:
            works = [photo for photo in photos if not photo.is_blank] or list(photos)
            if works:
                self.view = replace(self.view, canvas_photo=works[-1].id)
                if works[-1].corners is not None:
                    self.view = self.view.hang_canvas_photo(works[-1].id)
            else:
                self.view = self.view.without_canvas()

    def _hanging(self, material: Material, hung: Hung) -> Hanging:
        made = self._made(material, hung)
        return self.stand_in(title(material, hung)) if made is None else hang(material, hung, made)

    def stand_in(self, title: str) -> Hanging:
        """What hangs until the first picture is ready."""
        picture = plain_sheet()
        plain = Mapping.flat(picture.width / self.painting.size.width_mm)
        return Hanging(title=f"{title} …", picture=picture, mapping=plain)

    def _made(self, material: Material, hung: Hung) -> Print | None:
        if hung.look in COMPARED:
            made = self.checked.compared(hung.look) if self.checked is not None else None
            if made is not None:
                return made
            hung = replace(hung, look=Look.GREY)
        key = print_key(material, hung)
        return None if key is None else self.room.print(key) or self._instead(key)

    def _instead(self, key: PrintKey) -> Print | None:
        """While a look is being made, the same picture in colour or grey."""
        return next((made for made in map(self.room.ready_print, key.plainer()) if made is not None), None)

    def _find_source(self, subject: Subject) -> Source | None:
        size = self.painting.size
        if subject is Subject.REFERENCE:
            reference = self.painting.reference
            if reference is None:
                return None
            file = self.painting.photo_file(reference.photo.id)
            return Source(file, reference.photo.id, size, reference.crop, is_reference=True)
        photo = self.canvas_photo
        if photo is None:
            return None
        return Source(self.painting.photo_file(photo.photo.id), photo.photo.id, size, photo.corners, photo.lens_k1)

    def _pictures_ready(self) -> None:
        self.wall_changed.emit()
        self.shares_changed.emit()

    def _check_read(self, canvas_photo: int, checked: Checked | None) -> None:
        if canvas_photo == self.view.canvas_photo:
            self.checked = checked
            self.findings_changed.emit()
            self.wall_changed.emit()

    def _drawing_not_kept(self, trouble: str) -> None:
        self.said.emit(trouble)
        self._read_drawing()

    def _read_drawing(self) -> None:
        if self._kept_drawings.is_behind:
            return  # it is older than what is shown; once all is kept it is read
        text, size = self.painting.drawing_svg, self.painting.size
        if text is None:
            self._show_drawing(None)
            return
        known = self._kept_drawings.drawing(text)
        if known is not None:
            self.worker.cancel("drawing")
            self._show_drawing(known)
            return

        def read(progress: Progress) -> Drawing:
            from core.drawing.svg_read import drawing_from_svg

            progress(say="Reading the drawing")
            return drawing_from_svg(text, size)

        def show(drawing: Drawing) -> None:
            self._kept_drawings.know(text, drawing)
            self._show_drawing(drawing)

        self.worker.run("drawing", read, show, self.said.emit)

    def _show_drawing(self, drawing: Drawing | None) -> None:
        self.drawing = drawing
        if drawing is None:
            self._ink = None
        else:
            self._ink = Ink(drawing) if self._ink is None else self._ink.after(drawing)
        self.drawing_changed.emit()
        self.wall_changed.emit()

    def _painting_changed(self, change: Change) -> None:
        parts = change.parts
        if parts & {"painting", "reference", "canvas_photo", "photo"}:
            self._sources.clear()
            self._on_ledge = None
            self.room.try_again()
            self._hang_what_is_there()
        if parts & {"painting", "drawing"}:
            self._read_drawing()
        if parts & {"landmark_by_hand", "plan"}:
            self.read_check()
        if self._resting and parts == {"drawing"}:
            self._behind = True
        elif parts & {"painting", "reference", "canvas_photo", "drawing"}:
            self._catch_up()
        if "notice" in parts and self.painting.notices:
            self.said.emit(self.painting.notices[-1])
        if parts - {"setting", "check_result", "photo_rating"}:
            self.history_changed.emit()

    def _catch_up(self) -> None:
        self._behind = False
        self.read_check()
        self.ledge_changed.emit()
        self.view_changed.emit()
        self.wall_changed.emit()
