"""How much brighter the live picture is to be so that it is as bright as the reference."""

from typing import TYPE_CHECKING, Any

from numpy.typing import NDArray

from app.prints import Sheet
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.following import Followed
    from core.frames.frame import Frame
    from core.live_picture import LivePicture

WIDTH_PX = 192
"""Broad passages are enough to tell by."""


class Brightness:
    """Told of the reference by the window, asked by the thread that makes the pictures."""

    def __init__(self, size: Size) -> None:
        self._size = size
        self._reference: NDArray[Any] | None = None
        self._small: LivePicture | None = None

    def show_reference(self, sheet: Sheet | None) -> None:
        """The reference laid flat, with its values; None while it is being read."""
        self._reference = None if sheet is None else sheet.value

    def gain(self, frame: "Frame", followed: "Followed") -> float:
        """1 while the reference is not known. Raises CanvasError for corners that cannot be a canvas."""
        from core.live_picture import LiveLook, LivePicture, matched_gain

        reference = self._reference
        if reference is None:
            return 1.0
        self._small = self._small or LivePicture(self._size)
        flat = self._small.flat(frame, followed.corners_px, k1=followed.k1, width_px=WIDTH_PX, look=LiveLook())
        return matched_gain(flat, reference)
