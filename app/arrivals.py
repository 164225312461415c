"""What comes in from outside: canvas photos, a reference, a line drawing; and what the painter is told of it."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.drawings import bring_in_drawing
from app.ledge.foretelling import Foretelling
from app.ledge.intake import Intake
from app.ledge.ledge import Ledge
from app.ledge.tabs import Tabs, write_tabs
from app.ledge.watcher import Watcher
from app.machine import Machine
from app.message import Offer
from app.placing import Placing
from app.saving import Saving
from app.studio import Studio
from core.drawing.drawing import Drawing
from core.errors import PainterError

DRAWING_ENDINGS = (".svg", ".svgz")


class Arrivals(QObject):
    """Asks which file, brings it in, and says what came; placing the corners is offered for a photo that needs it."""

    painting_dropped = Signal(object)  # Path
    reference_changed = Signal()
    hung = Signal()  # a canvas photo that came hangs now
    new_lies_flat = Signal(int)  # it lies flat, unasked

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, placing: Placing, desk: QWidget) -> None:
        super().__init__(desk)
        self._studio, self._dialogs, self._say, self._desk = studio, dialogs, say, desk
        self._placing = placing
        placing.drawing_came.connect(self._drawing_came)
        self.intake = Intake(studio.painting, studio.worker, self)
        self.intake.arrived.connect(self.photos_came)
        self.intake.refused.connect(say)
        self.intake.reference_changed.connect(self.reference_changed)
        self._saving = Saving(studio.worker, dialogs, say, desk)
        self.tabs = Tabs(studio, self)
        self.tabs.said.connect(say)
        self.tabs.laid.connect(self._tabs_tried)
        self.foretelling = Foretelling(studio, self)
        self.foretelling.said.connect(say)
        self.foretelling.laid.connect(self._foretold)
        self.machine: Machine | None = None
        placing.placed.connect(self._corners_placed, Qt.ConnectionType.QueuedConnection)  # said after that it lies flat
        self.watcher = Watcher(studio, self.photos_came, self)
        self.watcher.said.connect(say)

    @property
    def looks_at_new(self) -> bool:
        """Whether a new photo is laid flat and checked unasked."""
        return self.machine is None or self.machine.kept.checks_new

    def look_at_new(self, on: bool) -> None:
        """From now on, on this machine; photos are rated so from the next opening."""
        if self.machine is not None:
            self.machine.keep(checks_new=on)

    def add_photos(self) -> None:
        self.take_files(self._dialogs.choose_photos(self._desk, "Photos of the canvas"))

    def watch_for(self, ledge: Ledge) -> None:
        """Do what the ledge wishes of a watched folder, and keep it told."""

        def tell() -> None:
            ledge.watched = None if self.watcher.folder is None else self.watcher.folder.name

        ledge.looks_at_new = lambda: self.looks_at_new
        ledge.look_at_new_wanted.connect(self.look_at_new)
        ledge.watch_wanted.connect(self.watch_folder)
        ledge.tabs_wanted.connect(self.print_tabs)
        ledge.phone_wanted.connect(self._placing.photos_from_phone)
        ledge.unwatch_wanted.connect(self.watcher.stop)
        self.watcher.changed.connect(tell)
        tell()

    def watch_folder(self) -> None:
        """Bring in what comes into a folder from now on; or no more."""
        folder = self._dialogs.choose_folder(self._desk, "The folder that photos come into", Path.home())
        if folder is None:
            return
        try:
            there = self.watcher.watch(folder)
        except PainterError as trouble:
            self._say(str(trouble))
            return
        out = {0: "", 1: " The one that is there already stays out."}.get(
            there, f" The {there} that are there already stay out."
        )
        self._say(f"Photos that come into “{folder.name}” go onto the ledge.{out}", passing=True)

    def change_reference(self) -> None:
        """Paint from another photograph, cropped when it is there."""
        file = self._dialogs.choose_photo(self._desk, "The photograph to paint from")
        if file is not None:
            self.intake.change_reference(file)

    def bring_in_drawing(self) -> None:
        """A line drawing as it is, or a photo of one on paper, whose lines are looked for."""
        file = self._dialogs.choose_drawing(self._desk)
        if file is None:
            return
        if file.suffix.lower() in DRAWING_ENDINGS:
            self.take_files((file,))
        else:
            self._placing.scan_drawing(file)

    def take_files(self, files: Sequence[Path]) -> None:
        """Photos go onto the ledge, an SVG becomes the drawing, a painting's folder is opened."""
        if len(files) == 1 and (files[0] / "painting.sqlite").is_file():
            self.painting_dropped.emit(files[0])
            return
        drawings = [file for file in files if file.suffix.lower() in DRAWING_ENDINGS]
        photos = [file for file in files if file not in drawings]
        if drawings:
            bring_in_drawing(self._studio, drawings[-1], self._drawing_came, self._say)
        if photos:
            self.intake.bring_in(photos)

    def photos_offer(self) -> Offer:
        return Offer("Bring in photos…", self.add_photos)

    def drawing_offer(self) -> Offer:
        return Offer("Bring in a drawing…", self.bring_in_drawing)

    def photos_came(self, canvas_photos: list[int]) -> None:
        """Hang the last of them; where neither tabs nor the photo before lay them flat, their corners are asked for."""
        self._studio.hang_canvas_photo(canvas_photos[-1])
        self.hung.emit()
        self.tabs.find(canvas_photos)

    def _tabs_tried(self, laid: list[int], unlaid: list[int]) -> None:
        if laid:
            self._told_flat(laid, "by the corner tabs")
        if unlaid and self.looks_at_new:
            self.foretelling.find(unlaid)
        else:
            self._ask_for_corners(unlaid)

    def _foretold(self, laid: list[int], unlaid: list[int]) -> None:
        if laid:
            self._told_flat(laid, "like the one before", Offer("See the corners", self._placing.place_corners))
        self._ask_for_corners(unlaid)

    def _told_flat(self, laid: list[int], how: str, *offers: Offer) -> None:
        came = "The photo lies" if len(laid) == 1 else f"{len(laid)} photos lie"
        self._say(f"{came} flat {how}.", *offers, passing=not offers)
        hung = self._studio.canvas_photo
        if hung is not None and hung.id in laid:
            self._studio.hang_canvas_photo(hung.id)
            if not hung.is_blank and self.looks_at_new:
                self.new_lies_flat.emit(hung.id)

    def _ask_for_corners(self, unlaid: list[int]) -> None:
        hung = self._studio.canvas_photo
        if hung is not None and hung.corners is None:
            came = "The photo is" if len(unlaid) <= 1 else f"{len(unlaid)} photos are"
            self._say(
                f"{came} on the ledge. Now place the canvas’s corners.",
                Offer("Place the corners", self._placing.place_corners),
            )

    def _corners_placed(self) -> None:
        hung = self._studio.canvas_photo
        if hung is not None:
            self.tabs.learn(hung.id)
            if self.looks_at_new:
                self.foretelling.get_ready()

    def print_tabs(self) -> None:
        """Write the page of corner tabs."""
        path = self._saving.ask("corner tabs", self._studio.painting.title)
        if path is not None:
            self._saving.write("saving the corner tabs", path, partial(write_tabs, "A4"))

    def _drawing_came(self, drawing: Drawing) -> None:
        view = self._studio.view
        self._studio.change_view(replace(view, hung=tuple(replace(each, acetate=True) for each in view.hung)))
        self._say(
            " ".join(["The drawing lies over the pictures as an acetate.", *drawing.notes]), passing=not drawing.notes
        )
