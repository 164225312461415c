"""What is on the wall of the live page: each shot as it comes, the drawing over it, the reference beside it."""

from collections import deque
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.live import words
from app.live.gain import Brightness
from app.live.hung import Hanger, Stamp
from app.live.making import Order, Shot
from app.live.meter import Meter
from app.live.reference import acetate_of, is_there, look_words, order_of, reference_hanging
from app.live.settings import LiveView
from app.live.wall import LiveWall
from app.studio import Studio
from app.wall.acetate import Acetate
from app.wall.hanging import Hanging

if TYPE_CHECKING:
    from core.canvas.following import Followed

TRAIL, STEADY_PX = 16, 1.0
"""Frames that may be kept, and how far the canvas's corners may lie apart in them."""


class Show(QObject):
    """``order_changed``: pictures are to be made otherwise from now on."""

    order_changed = Signal()

    def __init__(self, studio: Studio, parent: QWidget) -> None:
        super().__init__(parent)
        self._studio = studio
        self.wall = LiveWall(studio.painting.size, parent)
        self.meter = Meter()
        self.view = LiveView()
        self.shot: Shot | None = None
        self.brightness = Brightness(studio.painting.size)
        self._trail: deque[Followed | None] = deque(maxlen=TRAIL)
        self._hanger = Hanger(studio.painting.size)
        self._reference: Hanging | None = None
        self._acetate: Acetate | None = None
        self._blinking = self._running = False
        self.wall.view_changed.connect(self.order_changed)
        self.wall.blinked.connect(self.blink)
        studio.wall_changed.connect(self._studio_changed)

    @property
    def order(self) -> Order:
        """What the next picture is to be made like: as many pixels as the screen shows."""
        ratio = self.wall.devicePixelRatioF()
        width = round(self.wall.sight.zoom * self._studio.painting.size.width_mm * ratio)
        return order_of(self._studio, self.view, width)

    def begin(self, view: LiveView) -> None:
        """A picture is about to come."""
        self._running = True
        self.shot = None
        self._trail.clear()
        self._hanger.forget()
        self.meter.forget()
        self.wall.fit()
        self.look(view)

    def rest(self) -> None:
        """No picture comes any more; those that hang are let go."""
        self._running = self._blinking = False
        self.shot = self._reference = None
        self.wall.hang([])

    def look(self, view: LiveView) -> None:
        """See it otherwise from now on."""
        self.view = view
        if self._running:
            self._reference = reference_hanging(self._studio, view)
            self._acetate = acetate_of(self._studio, view)
            if view.matched:
                self.brightness.show_reference(self._studio.values.sheet())
            self.order_changed.emit()
            self._hang()

    def show_shot(self, shot: Shot) -> None:
        self.shot = shot
        self._trail.append(shot.followed)
        self._hang()

    @property
    def steady(self) -> "Followed | None":
        """Where the canvas lies, if it has lain there in all of the last frames: any of them may be the one that is
        kept."""
        trail = [each for each in self._trail if each is not None]
        if not trail or len(trail) < len(self._trail):
            return None
        newest = trail[-1]
        apart = max(float(np.abs(each.corners_px - newest.corners_px).max()) for each in trail)
        return newest if apart <= STEADY_PX else None

    def blink(self, on: bool) -> None:
        """With the reference, for as long as the key is held."""
        if len(self.wall.hangings) > 1:
            self.wall.blink(on)
        elif on != self._blinking and (not on or is_there(self._reference)):
            self._blinking = on
            self._hang()

    def _hang(self) -> None:
        reference = self._reference
        if self._blinking and reference is not None:
            self.wall.show_pictures(reference)
            return
        live = self._live()
        if live is None:
            return
        beside = (reference,) if self.view.beside and reference is not None and is_there(reference) else ()
        self.wall.show_pictures(live, *beside)

    def _live(self) -> Hanging | None:
        shot, view = self.shot, self.view
        if shot is None:
            return None
        squint = self._studio.view.squint_mm if view.squint else 0.0
        title = words.canvas_title(
            look_words(self._studio, view),
            squint,
            flat=shot.is_flat,
            wanted_flat=view.flat,
            matched=view.matched and shot.followed is not None,
        )
        return self._hanger.hanging(shot, title, self._acetate, Stamp(shot.frame.taken, self.meter, self))

    def _studio_changed(self) -> None:
        """The drawing, the plan of the values, or the reference's picture is another now."""
        if self._running:
            self.look(self.view)
