"""What a new canvas photo is good for, before anything is asked of it: sharpness, glare and exposure, and what to do.

Each fault is told in a word and a sentence of advice, the worst first; what cannot be told is not told. The bounds are
ours; the advice is common practice, no source. A photo of 12 megapixels takes 0.2 s of processor time, with its corners
and reference 0.4 s.
"""

import json
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.photo import Photo
from core.rating_edges import region_mask, small_codes
from core.rating_glare import SMALL_PX, PhotoGlare, glare_by_reference, glare_of_photo, middle
from core.rating_sharpness import Sharpness, sharpness
from core.size import Size
from core.words import as_share

Floats = NDArray[np.float64]

VERSION = 1
"""Raised when a rating would come out otherwise: those of before are made anew."""
SCHEMA = 1
REAL = 1.0
"""The weight from which a fault is worth a sentence when the photo comes in."""
_BLURRED, _SOFT = 2.0, 0.4
_GLARE_SHARE, _BURNT_SHARE, _BLACK_SHARE = 0.01, 0.03, 0.15
"""Shares of the canvas that weigh as much as REAL."""
_LEAST_BURNT, _LEAST_BLACK = 0.01, 0.08
_FULL, _EMPTY = 254, 1
_STEEP_DEG = 25.0

SHAKE_ADVICE = "rest the phone on something firm, or use the timer."
FOCUS_ADVICE = "tap on the canvas to focus, wait, and take it again."
GLARE_ADVICE = "turn the lamp or move it to the side."
GLARE_MORE = (
    "Or tilt the canvas a little, or photograph it from farther to one side; a polarising filter helps further."
)


@dataclass(frozen=True)
class Fault:
    """``word``: for its mark. ``say``: one sentence, what is wrong and what to do; ``more``: further help. ``weight``:
    how much it spoils, from REAL on worth telling at once."""

    word: str
    say: str
    weight: float
    more: str = ""

    @property
    def advice(self) -> str:
        return f"{self.say} {self.more}".strip()


@dataclass(frozen=True)
class PhotoRating:
    """``faults``: the worst first. ``sharpness``: None where it cannot be told. ``burnt_out``, ``black``: shares of the
    canvas, 0-1, in which a channel is full (but for the glare) and in which all are empty. ``with_corners``: told of
    the canvas alone; otherwise of the photo and its middle."""

    faults: tuple[Fault, ...]
    sharpness: Sharpness | None
    glare: PhotoGlare
    burnt_out: float
    black: float
    with_corners: bool = False
    version: int = VERSION

    @property
    def word(self) -> str:
        """The worst fault; empty where there is none."""
        return self.faults[0].word if self.faults else ""

    @property
    def advice(self) -> str:
        """Everything that is to be said of it, a line each."""
        return "\n".join(fault.advice for fault in self.faults)

    @property
    def told_at_once(self) -> str:
        """One sentence of the worst fault, where it is a real one."""
        return self.faults[0].say if self.faults and self.faults[0].weight >= REAL else ""

    def text(self) -> str:
        """As JSON."""
        return json.dumps({"schema": SCHEMA, **asdict(self)}, ensure_ascii=False, allow_nan=False)


@dataclass(frozen=True)
class Wanted:
    """The reference, for a photo whose corners are known; ``crop`` ``(4, 2)`` px of the part that is painted."""

    photo: Photo
    crop: ArrayLike | None = None


def rate_photo(
    photo: Photo,
    *,
    corners_px: ArrayLike | None = None,
    size: Size | None = None,
    k1: float = 0.0,
    reference: Wanted | None = None,
    is_blank: bool = False,
) -> PhotoRating:
    """Rate ``photo``. ``corners_px`` ``(4, 2)`` with ``size`` and ``k1``: of the canvas, where they are known. A blank
    need not be sharp, and is not held against the reference.

    Raises CanvasError for corners that cannot be a canvas.
    """
    corners = None if corners_px is None or size is None else np.asarray(corners_px, dtype=np.float64)
    sharp = None if is_blank else sharpness(photo, corners, size, k1=k1)
    glare, hidden = glare_of_photo(photo, corners)
    burnt_out, black = _clipped(photo, corners, hidden)
    if corners is not None and size is not None and reference is not None and not is_blank:
        glare, _ = glare_by_reference(photo, corners, size, reference.photo, crop=reference.crop, k1=k1)
    faults = [*_blur_faults(sharp), *_glare_faults(glare, corners is not None), *_exposure_faults(burnt_out, black)]
    faults.sort(key=lambda fault: -fault.weight)
    return PhotoRating(tuple(faults), sharp, glare, burnt_out, black, corners is not None)


def rating_from_text(text: str) -> PhotoRating | None:
    """A rating from its JSON; None when it is not one that this program understands."""
    try:
        kept: dict[str, Any] = json.loads(text)
        if kept.pop("schema") != SCHEMA:
            return None
        kept["faults"] = tuple(Fault(**fault) for fault in kept["faults"])
        kept["sharpness"] = None if kept["sharpness"] is None else Sharpness(**kept["sharpness"])
        kept["glare"] = PhotoGlare(**kept["glare"])
        return PhotoRating(**kept)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def _clipped(photo: Photo, corners: Floats | None, glare: NDArray[np.bool_]) -> tuple[float, float]:
    """Shares burnt out and black of the canvas, or of the photo's middle."""
    small = small_codes(photo, SMALL_PX)
    most = small.max(axis=2)
    inside = middle(most.shape) if corners is None else region_mask(most.shape, photo, corners, 0.985)
    return float((most[inside & ~glare] >= _FULL).sum() / inside.sum()), float((most[inside] <= _EMPTY).mean())


def _blur_faults(sharp: Sharpness | None) -> list[Fault]:
    if sharp is None or sharp.kind == "sharp":
        return []
    by = "" if sharp.blur_mm is None else f" by {sharp.blur_mm:.1f} mm on the canvas"
    if sharp.kind == "soft":
        say = f"A little soft: edges are blurred{by}, so hard and firm edges are hard to tell apart."
        return [Fault("soft", say, _SOFT, "Drawing and values can be checked all the same.")]
    if sharp.kind == "shaken":
        way = _way(sharp.angle_deg)
        return [Fault("shaken", f"Shaken {way}{by}: {SHAKE_ADVICE}", _BLURRED)]
    return [Fault("blurred", f"Out of focus{by}: {FOCUS_ADVICE}", _BLURRED)]


def _way(angle_deg: float) -> str:
    off = angle_deg % 180
    if min(off, 180 - off) < _STEEP_DEG:
        return "sideways"
    return "up and down" if abs(off - 90) < _STEEP_DEG else "aslant"


def _glare_faults(glare: PhotoGlare, on_canvas: bool) -> list[Fault]:
    if not glare.where:
        return []
    share = f", on {as_share(glare.share)} of the canvas" if on_canvas else ""
    return [Fault("glare", f"Glare {glare.where}{share}: {GLARE_ADVICE}", glare.share / _GLARE_SHARE, GLARE_MORE)]


def _exposure_faults(burnt_out: float, black: float) -> list[Fault]:
    found = []
    if burnt_out > _LEAST_BURNT:
        say = f"Burnt out on {as_share(burnt_out)}: tap on the lightest place, or turn the exposure down."
        found.append(Fault("burnt out", say, burnt_out / _BURNT_SHARE))
    if black > _LEAST_BLACK:
        say = f"Black without detail on {as_share(black)}: turn the exposure up, or bring more light to the canvas."
        found.append(Fault("too dark", say, black / _BLACK_SHARE))
    return found
