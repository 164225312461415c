"""Prints: the pictures derived from a photograph for the wall. Pure functions, for a worker thread.

A *sheet* is a photograph ready to be looked at, laid flat or as shot; a *print* is a sheet in one look.
What computes is imported where it is used, so that the first window need not wait for it.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.edges.looks import EdgeKey
from app.picture import Picture
from app.temperatures.looks import WarmKey
from app.values import looks
from app.values.looks import KeyedKey, PlanKey
from app.view import Look
from app.wall.mapping import Mapping
from core.size import Size

if TYPE_CHECKING:
    from core.photo import Photo

Corners = tuple[tuple[float, float], ...]
Tell = Callable[[float, str], object]

QUICK_PIXELS = 1_500_000
FINE_PIXELS = 12_000_000
POINTER_BLUR_MM = 0.5
CROP_PX = 1600


@dataclass(frozen=True)
class Source:
    """A photograph and where the canvas lies in it: everything that a sheet is made from.

    ``corners`` None: for the reference, the whole photo; for a canvas photo, not placed yet. ``edition``: tells a file
    that is written anew from what it was before.
    """

    file: Path
    photo_id: int
    size: Size
    corners: Corners | None
    lens_k1: float = 0.0
    is_reference: bool = False
    edition: int = 0

    @property
    def photograph(self) -> tuple[Path, int]:
        """The same for all that is made from one photograph."""
        return self.file, self.edition

    @property
    def can_lie_flat(self) -> bool:
        return self.is_reference or self.corners is not None


@dataclass(frozen=True)
class SheetKey:
    """``flat``: laid flat, else as shot. ``fine``: as many pixels as are worth showing, else a quick smaller one."""

    source: Source
    flat: bool
    fine: bool


@dataclass(frozen=True)
class PrintKey:
    """``plan``: of the value steps, only for that look. ``squint_mm`` 0 is no squint. ``keyed``: its values are brought
    within the reach of paint. ``beyond``: the darkest and lightest beyond which it is hatched. ``earth``: its name, for
    an underpainting. ``warm``: how its warmth is shown; ``edge``: how its edges are."""

    source: Source
    flat: bool
    look: Look
    squint_mm: float = 0.0
    plan: PlanKey | None = None
    keyed: KeyedKey | None = None
    beyond: tuple[float, float] | None = None
    earth: str = ""
    warm: WarmKey | None = None
    edge: EdgeKey | None = None

    @property
    def needs_fine(self) -> bool:
        """Steps, squints and warmth are of what is large, so the quick sheet has all they show."""
        return self.plan is None and self.warm is None and not self.squint_mm

    def sheet(self, *, fine: bool) -> SheetKey:
        return SheetKey(self.source, self.flat, fine)

    def plainer(self) -> "tuple[PrintKey, ...]":
        """The same picture in looks that may be there already, the likest first."""
        plain = PrintKey(self.source, self.flat, Look.GREY)
        return tuple(
            replace(plain, look=look, keyed=keyed)
            for keyed in dict.fromkeys((self.keyed, None))
            for look in (Look.GREY, Look.COLOUR)
        )


@dataclass(frozen=True, eq=False)
class Sheet:
    """``codes`` ``(H, W, 3)`` and the ``curve`` to linear light, as in ``core.photo.Photo``.

    ``mapping``: where the canvas lies in it. ``value``: Munsell value ``(H, W)`` float32 for reading under the pointer,
    of quick sheets laid flat.
    """

    codes: NDArray[Any]
    curve: NDArray[np.float32]
    mapping: Mapping
    value: NDArray[np.float32] | None = None

    @property
    def bytes(self) -> int:
        return int(self.codes.nbytes)


@dataclass(frozen=True, eq=False)
class Print:
    """A picture for the wall. ``shares``: of each value step, darkest first, and ``greys`` the sRGB code each is shown
    in; both empty for other looks."""

    picture: Picture
    mapping: Mapping
    shares: tuple[float, ...] = field(default=())
    greys: tuple[int, ...] = field(default=())

    @property
    def bytes(self) -> int:
        return sum(level.sizeInBytes() for level in self.picture.levels)


def filling(file: Path, photo_id: int, size: Size) -> Source | None:
    """A picture that the canvas fills to its edges; None when the file is gone or is none."""
    from PIL import Image

    try:
        with Image.open(file) as picture:
            width, height = picture.size
        edition = file.stat().st_mtime_ns
    except (OSError, ValueError):
        return None
    left, top, right, bottom = -0.5, -0.5, width - 0.5, height - 0.5  # a pixel's centre is a whole number
    return Source(file, photo_id, size, ((left, top), (right, top), (right, bottom), (left, bottom)), edition=edition)


def read_photo(file: Path) -> "Photo":
    """Raises PhotoError with a sentence."""
    from core.photo import load_photo

    return load_photo(file)


def read_for_crop(file: Path, tell: Tell) -> tuple[Picture, int, int]:
    """The photo small enough to be shown whole, and the width and height it really has."""
    from core.photo import load_photo
    from core.tone import display_of_linear

    tell(-1.0, "Reading the photograph")
    photo = load_photo(file)
    return Picture.from_srgb(display_of_linear(photo.reduced(CROP_PX))), photo.width, photo.height


def make_sheet(photo: "Photo", key: SheetKey, tell: Tell) -> Sheet:
    """Lay the photo flat, or take it as it is. Raises CanvasError with a sentence."""
    most = FINE_PIXELS if key.fine else QUICK_PIXELS
    return _flat_sheet(photo, key, most, tell) if key.flat else _sheet_as_shot(photo, key, most)


def make_print(sheet: Sheet, key: PrintKey, tell: Tell) -> Print:
    """The sheet in the look of ``key``."""
    from core import tone

    tell(-1.0, "Making the picture")
    if key.plan is not None:
        return _steps_print(sheet, key, key.plan)
    own = key.warm or key.edge
    if own is not None:
        made = own.picture(_linear(sheet, key), sheet.mapping.px_per_mm)
    elif key.look is Look.UNDERPAINTING:
        made = looks.underpainted(_value(sheet, key), key.earth)
    elif key.keyed is not None or key.squint_mm:
        linear = _linear(sheet, key)
        made = (tone.grey_of_linear if key.look is Look.GREY else tone.display_of_linear)(linear)
    else:
        made = (tone.grey_codes if key.look is Look.GREY else tone.display_codes)(sheet.codes, sheet.curve)
    if key.beyond is not None:
        made = looks.hatched(made, tone.value_map(sheet.codes, sheet.curve), *key.beyond)
    return Print(Picture.from_grey(made) if made.ndim == 2 else Picture.from_srgb(made), sheet.mapping)


def _steps_print(sheet: Sheet, key: PrintKey, plan: PlanKey) -> Print:
    value = _value(sheet, replace(key, squint_mm=0.0))  # the steps squint by themselves
    steps = looks.plan_steps(value, plan, px_per_mm=sheet.mapping.px_per_mm, squint_mm=key.squint_mm)
    shares = tuple(float(share) for share in steps.shares)
    picture = Picture.from_grey(looks.plan_picture(steps, plan))
    return Print(picture, sheet.mapping, shares, looks.greys_of(steps.levels))


def _linear(sheet: Sheet, key: PrintKey) -> NDArray[np.float32]:
    """Keyed if that is wanted, and then squinted at."""
    from core import tone
    from core.value.squint import squint

    linear = tone.linear_of_codes(sheet.codes, sheet.curve)
    if key.keyed is not None:
        linear = looks.keyed(linear, tone.value_map(sheet.codes, sheet.curve), key.keyed)
    return squint(linear, key.squint_mm, sheet.mapping.px_per_mm) if key.squint_mm else linear


def _value(sheet: Sheet, key: PrintKey) -> NDArray[np.float32]:
    """The same as Munsell values."""
    from core import tone
    from core.value.squint import squint

    value = tone.value_map(sheet.codes, sheet.curve)
    if key.keyed is not None:
        value = key.keyed.curve(value).of(value)
    return squint(value, key.squint_mm, sheet.mapping.px_per_mm) if key.squint_mm else value


def whole_photo(photo: "Photo") -> Picture:
    """The photo as it is, every pixel of it."""
    return Picture.from_srgb(photo.display())


def _flat_sheet(photo: "Photo", key: SheetKey, most: int, tell: Tell) -> Sheet:
    from core import tone
    from core.canvas.lay_flat import lay_flat, reference_flat
    from core.develop import srgb_curve
    from core.value.squint import squint

    source, size = key.source, key.source.size
    tell(-1.0, "Laying the photo flat")
    px_per_mm = min(_px_per_mm(photo, source), math.sqrt(most / (size.width_mm * size.height_mm)))
    if source.is_reference:
        flat, _ = reference_flat(photo, size, px_per_mm, crop=source.corners)
    else:
        assert source.corners is not None
        flat = lay_flat(photo, source.corners, size, k1=source.lens_k1, px_per_mm=px_per_mm)
    tell(-1.0, "Laying the photo flat")
    value = None if key.fine else tone.value_of_linear(squint(flat.linear, POINTER_BLUR_MM, px_per_mm))
    return Sheet(tone.display_of_linear(flat.linear), srgb_curve(), Mapping.flat(px_per_mm), value)


def _sheet_as_shot(photo: "Photo", key: SheetKey, most: int) -> Sheet:
    from core.canvas.canvas_map import CanvasMap

    source = key.source
    thin = 1 if key.fine else max(1, math.isqrt(photo.width * photo.height // most))
    codes = np.ascontiguousarray(photo.codes[::thin, ::thin])
    shrink = np.diag([1 / thin, 1 / thin, 1.0])
    if source.corners is None:
        return Sheet(codes, photo.curve, _unplaced(photo, source.size, shrink))
    found = CanvasMap(np.asarray(source.corners), source.size, photo.width, photo.height, source.lens_k1)
    photo_size = (codes.shape[1], codes.shape[0])
    mapping = Mapping.as_shot(shrink @ found.matrix, source.size, lens_k1=source.lens_k1, photo_size=photo_size)
    return Sheet(codes, photo.curve, mapping)


def _unplaced(photo: "Photo", size: Size, shrink: NDArray[np.float64]) -> Mapping:
    """As if the canvas filled the middle of the photo, so that the whole photo shows beside the reference."""
    scale = max(photo.width / size.width_mm, photo.height / size.height_mm)
    left, top = (photo.width - scale * size.width_mm) / 2, (photo.height - scale * size.height_mm) / 2
    return Mapping.as_shot(shrink @ np.array([[scale, 0, left], [0, scale, top], [0, 0, 1.0]]), size)


def _px_per_mm(photo: "Photo", source: Source) -> float:
    """What the photo supports: any finer would only be larger."""
    size = source.size
    if source.corners is None:
        return max(photo.width / size.width_mm, photo.height / size.height_mm)
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = source.corners
    around = math.hypot(bx - ax, by - ay) + math.hypot(cx - bx, cy - by)
    around += math.hypot(dx - cx, dy - cy) + math.hypot(ax - dx, ay - dy)
    return around / (2 * (size.width_mm + size.height_mm))
