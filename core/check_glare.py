"""Glare in one check: taken out where photos with the lamp moved allow it, and looked for in what is left.

A photo that cannot be used hinders nothing: what is wrong with it is said, and the check goes on without it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix, locate_canvas
from core.check_light import KnownGrey
from core.errors import CanvasError
from core.photo import Photo
from core.value.glare import Glare, find_glare
from core.value.glare_photos import GlareFree, without_glare
from core.value.light_grid import Mask
from core.value.light_grid import clipped as full_codes
from core.value.same_paint import Sameness, sameness
from core.words import as_share

Progress = Callable[[float, str], None]

GLARE = "Glare: "
"""Every sentence about photos with the lamp moved begins so."""
_LEAST = 0.0005
_LIT_MM = 2.0
"""A grey's even area reaches at least this far round the place that was pressed."""
_OTHER: dict[Sameness, str] = {
    "another painting": (
        "does not show what the photo itself shows. Choose photos of this canvas in the same state, each with its own "
        "corners"
    ),
    "other paint": (
        "differs over {} of the canvas, and by more than glare. It was painted on in between, or its corners are not "
        "in the same places"
    ),
    "too different": (
        "differs over {} of the canvas, too much to tell what is glare. Move the lamp so that it shines on less of it"
    ),
}
_SHINES = (
    "The {} of value {:g} lies where the photo is lighter than those with the lamp moved: under glare, or it is "
    "not in all of them. It was not used."
)


@dataclass(frozen=True)
class LampMoved:
    """Another photo of the painting in the same state, the lamp moved.

    ``corners_px``: ``(4, 2)`` photo pixels, or None to find the outline. ``name``: what it is called in sentences, if
    not by its file.
    """

    photo: Photo
    corners_px: NDArray[np.float64] | None = None
    name: str = ""

    @property
    def called(self) -> str:
        return f"“{self.name or self.photo.source.name or 'one photo'}”"


@dataclass(frozen=True)
class WithoutGlare:
    """``canvas``: in the light of the first photo. ``glare``: what is still to be withheld. ``taken_out``: ``(H, W)``
    bool, where the first photo had glare; None when no other photo was used. ``say``: what came of it, empty when
    nothing was to be done. ``notes``: sentences."""

    canvas: Flat
    glare: Glare
    taken_out: Mask | None = None
    say: str = ""
    notes: tuple[str, ...] = ()

    def in_the_light(
        self, greys: Sequence[KnownGrey], photo: Photo, fix: CanvasFix
    ) -> tuple[tuple[KnownGrey, ...], tuple[str, ...]]:
        """The greys that do not lie under the glare that was taken out, and a sentence for each that does.

        They are measured in the first ``photo``, where ``fix`` has the canvas.
        """
        if self.taken_out is None or not self.taken_out.any():
            return tuple(greys), ()
        to_mm = CanvasMap(fix.corners_px, self.canvas.size, photo.width, photo.height, fix.k1)
        kept, notes = [], []
        for grey in greys:
            x_mm, y_mm = to_mm.px_to_mm((grey.x_px, grey.y_px))
            if _touches(self.taken_out, float(x_mm), float(y_mm), self.canvas.px_per_mm):
                notes.append(_SHINES.format("grey card" if grey.kind == "card" else "bare ground", grey.value))
            else:
                kept.append(grey)
        return tuple(kept), tuple(notes)


def glare_taken_out(
    first: Flat,
    reference: Flat,
    others: Sequence[LampMoved],
    *,
    like: Photo | None = None,
    progress: Progress | None = None,
) -> WithoutGlare:
    """The canvas without the glare that the lamp's place decides, and where glare is left.

    ``first``: the canvas photo laid flat; ``reference``: on the same pixels. ``like``: the reference as a photo, which
    tells the top of a canvas that has to be found. ``progress(share 0-1, what is being done)`` may raise to stop.
    """
    tell = progress or (lambda share, doing: None)
    pairs: list[GlareFree] = []
    flats: list[Flat] = []
    notes: list[str] = []
    for number, other in enumerate(others):
        tell(number / (len(others) + 1), "taking out the glare")
        try:
            flat = _laid_flat(other, first, like)
        except CanvasError as trouble:
            notes.append(f"{GLARE}{other.called} was left out. {trouble}")
            continue
        pair = without_glare((first, flat))
        same = sameness(pair)
        if same == "same":
            pairs.append(pair)
            flats.append(flat)
        else:
            notes.append(f"{GLARE}{other.called} {_OTHER[same].format(as_share(max(pair.shares)))}. It was left out.")
    tell(len(others) / (len(others) + 1), "looking for glare")
    if not flats:
        return WithoutGlare(first, find_glare(first, reference), notes=tuple(notes))
    merged = pairs[0] if len(flats) == 1 else without_glare((first, *flats))
    return _judged(merged, reference, len(flats), tuple(notes))


def _laid_flat(other: LampMoved, first: Flat, like: Photo | None) -> Flat:
    fix = locate_canvas(other.photo, first.size, corners_px=other.corners_px, reference=like)
    return lay_flat(other.photo, fix.corners_px, first.size, k1=fix.k1, px_per_mm=first.px_per_mm)


def _judged(merged: GlareFree, reference: Flat, count: int, notes: tuple[str, ...]) -> WithoutGlare:
    """Glare that lies in one place in all photos is still to be found, and what is clipped in all cannot be told."""
    found = find_glare(merged.flat, reference, clipped=full_codes(merged.flat.linear) | merged.left)
    more = merged.left & ~found.withheld
    glare = replace(found, withheld=found.withheld | more, burnt_out=found.burnt_out + float(more.mean()))
    taken_out = merged.glare[0] & ~glare.withheld
    told = tuple(f"{GLARE}{note[:1].lower()}{note[1:]}" for note in merged.notes)
    return WithoutGlare(
        merged.flat, glare, taken_out, _say(float(taken_out.mean()), merged.shares, count), (*notes, *told)
    )


def _say(taken_out: float, shares: tuple[float, ...], count: int) -> str:
    photos = f"{count} photo{'' if count == 1 else 's'} with the lamp moved"
    if taken_out >= _LEAST:
        return (
            f"{GLARE}taken out by {photos}; {as_share(taken_out, places=1)} of the canvas was under it in the photo "
            "itself."
        )
    if max(shares) >= _LEAST:
        return f"{GLARE}{photos} could take none out of the photo itself."
    return ""  # that there is none anywhere is one of the notes


def _touches(where: Mask, x_mm: float, y_mm: float, px_per_mm: float) -> bool:
    row, column, reach = (round(v * px_per_mm) for v in (y_mm, x_mm, _LIT_MM))
    height, width = where.shape
    if not (0 <= row < height and 0 <= column < width):
        return False
    return bool(where[max(row - reach, 0) : row + reach + 1, max(column - reach, 0) : column + reach + 1].any())
