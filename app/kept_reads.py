"""What workers read for one piece of work and keep for the next: photographs, where the canvas lies in them, and the
reference's side of a check."""

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from core.painting import Corners

if TYPE_CHECKING:
    from core.canvas.locate import CanvasFix
    from core.check_reference import ReferenceKept
    from core.photos_kept import PhotosKept


class KeptReads:
    """One for each open painting. Nothing is loaded before it is first asked for, which is in a worker.

    ``fixes``: of photos that were laid flat unasked, by their file and the corners that were kept.
    """

    def __init__(self) -> None:
        self.fixes: dict[tuple[Path, Corners], CanvasFix] = {}

    @cached_property
    def photos(self) -> "PhotosKept":
        from core.photos_kept import PhotosKept

        return PhotosKept()

    @cached_property
    def references(self) -> "PhotosKept":
        """The reference's photograph alone: others may not push it out, since its flat and edges hang on it."""
        from core.photos_kept import PhotosKept

        return PhotosKept(1)

    @cached_property
    def reference(self) -> "ReferenceKept":
        from core.check_reference import ReferenceKept

        return ReferenceKept()
