"""What workers read for one piece of work and keep for the next: photographs, and the reference's side of a check."""

from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.check_reference import ReferenceKept
    from core.photos_kept import PhotosKept


class KeptReads:
    """One for each open painting. Nothing is loaded before it is first asked for, which is in a worker."""

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
