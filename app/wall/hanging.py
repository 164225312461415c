"""What hangs in one place on the wall."""

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtGui import QPainter

from app.picture import Picture
from app.wall.legend import Legend
from app.wall.mapping import Mapping
from app.wall.sight import Placed


class Overlay(Protocol):
    """Something laid over a picture. It never changes: a new one is hung instead."""

    def paint(self, painter: QPainter, placed: Placed) -> None:
        """Paint in screen units; the painter is antialiased and clipped to the viewport."""


@dataclass(frozen=True, eq=False)
class Hanging:
    """A picture with its title, how the canvas lies in it, and what is laid over it (first one undermost).

    ``is_measured``: whether it is known how the canvas lies in it, so that lengths may be taken on it. ``of_canvas``:
    it shows the painting, not the reference.
    """

    title: str
    picture: Picture
    mapping: Mapping
    overlays: tuple[Overlay, ...] = ()
    legend: Legend | None = None
    key: str = ""
    is_measured: bool = True
    of_canvas: bool = False
