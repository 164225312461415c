"""The reference's side of a check, kept from one check to the next: it changes seldom, and takes half of the time."""

import threading
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.lay_flat import reference_flat
from core.check_edges import prepared_edges
from core.edge.compare import ReferenceEdges
from core.photo import Photo
from core.size import Size
from core.tone import value_of_linear
from core.value.keying import Keying, keyed_linear, keying_curve
from core.value.reach import OIL, Reach


@dataclass(frozen=True, eq=False)
class ReferenceWanted:
    """Which reference, cropped and keyed how, at what resolution; compared by :meth:`is_same`."""

    photo: Photo
    crop: NDArray[np.float64] | None
    size: Size
    px_per_mm: float
    keying: Keying | None
    reach: Reach | None

    def is_same(self, other: "ReferenceWanted | None") -> bool:
        """Whether both give the same picture; of photographs, only the very same object counts."""
        if other is None or self.photo is not other.photo:
            return False
        crops = [None if each.crop is None else np.asarray(each.crop).tolist() for each in (self, other)]
        plain = [(each.size, each.px_per_mm, each.keying, each.reach) for each in (self, other)]
        return crops[0] == crops[1] and plain[0] == plain[1]


class ReferenceKept:
    """Holds the last reference laid flat, and its edges; from any thread."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._wanted: ReferenceWanted | None = None
        self._flat: tuple[Flat, tuple[str, ...]] | None = None
        self._edges: tuple[Flat, ReferenceEdges] | None = None

    def flat(self, wanted: ReferenceWanted) -> tuple[Flat, tuple[str, ...]]:
        """The reference on the canvas's grid, keyed if that is wanted, and notes on what was cropped."""
        with self._lock:
            if self._flat is None or not wanted.is_same(self._wanted):
                plain, notes = reference_flat(wanted.photo, wanted.size, wanted.px_per_mm, crop=wanted.crop)
                self._flat, self._wanted = (_keyed(plain, wanted), notes), wanted
            return self._flat

    def edges(self, flat: Flat) -> ReferenceEdges:
        """The edges of a picture that :meth:`flat` gave."""
        with self._lock:
            if self._edges is None or self._edges[0] is not flat:
                self._edges = (flat, prepared_edges(flat))
            return self._edges[1]


def _keyed(flat: Flat, wanted: ReferenceWanted) -> Flat:
    if wanted.keying is None or wanted.keying is Keying.NONE:
        return flat
    curve = keying_curve(value_of_linear(flat.linear), wanted.reach or OIL, wanted.keying)
    return replace(flat, linear=keyed_linear(flat.linear, curve))
