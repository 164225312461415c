"""What following the canvas from frame to frame answers, and the protocol that every follower keeps to."""

from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from core.frames.frame import Frame


@dataclass(frozen=True, eq=False)
class Followed:
    """Where the canvas lies in one frame.

    ``corners_px``: ``(4, 2)`` float64 frame px, TL TR BR BL. ``k1``: the lens. ``uncertainty_mm``: RMS over the canvas,
    one standard deviation. ``by``: what told it; ``held`` where nothing did just now and the last place is shown.
    ``tabs``: the canvas corners (0-3) whose tabs were gone by. ``say``: what the painter should know, or nothing.
    """

    corners_px: NDArray[np.float64]
    k1: float
    uncertainty_mm: float
    by: Literal["tabs", "edges", "held"]
    tabs: tuple[int, ...] = ()
    say: str = ""


class Follower(Protocol):
    """Holds what it knows from the frames before; used from one thread."""

    def follow(self, frame: Frame) -> Followed | None:
        """Of the next frame; None while the canvas has not been found, or was lost too long ago to be held."""

    def forget(self) -> None:
        """The camera was moved or changed: begin anew."""
