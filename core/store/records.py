"""What a painting holds, as frozen records, and how each is read from its row."""

import json
import math
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal, cast

from core.errors import PaintingError
from core.size import Size
from core.store.faults import DAMAGED, DamagedError

Corners = tuple[tuple[float, float], ...]
FoundBy = Literal["given", "outline", "tabs"]
PhotoState = Literal["good", "missing", "altered"]

FEWEST_STEPS, MOST_STEPS = 2, 10


@dataclass(frozen=True)
class PaintingRecord:
    """The painting itself. ``steps``: value steps of the chosen scale, 2 to 10. ``made_at`` is in UTC."""

    uuid: str
    title: str
    size: Size
    steps: int
    made_at: datetime


@dataclass(frozen=True)
class PhotoRecord:
    """A photograph kept byte for byte.

    ``file``: its name inside ``photos/``. ``name``: the name it came in under. ``bytes``: its length.
    ``state``: ``good``; ``missing`` when the file is gone; ``altered`` when its bytes are no longer those brought in.
    ``already_there``: set on the answer to an import whose very bytes the painting already had.
    """

    id: int
    file: str
    name: str
    sha256: str
    bytes: int
    added_at: datetime
    state: PhotoState = "good"
    already_there: bool = False


@dataclass(frozen=True)
class ReferenceRecord:
    """The photograph painted from. ``crop``: the corners of the part used, px of the upright photo; None for all."""

    photo: PhotoRecord
    crop: Corners | None


@dataclass(frozen=True)
class CanvasPhotoRecord:
    """A photograph of the painting in progress, on the ledge.

    ``corners``: the canvas's corners, px of the upright photo (top left, top right, bottom right, bottom left), None
    until placed; ``found_by`` says how. ``lens_k1``: one-term radial lens coefficient, negative for barrel.
    ``is_blank``: a photo of the empty or evenly covered canvas, the light map of the photos taken in the same light;
    ``blank_id``: the blank chosen for this photo, if one was.
    """

    id: int
    photo: PhotoRecord
    sitting: int
    position: int
    name: str
    corners: Corners | None
    found_by: FoundBy | None
    lens_k1: float
    is_blank: bool
    blank_id: int | None
    taken_at: datetime | None
    added_at: datetime
    note: str
    removed: bool


@dataclass(frozen=True)
class LandmarkByHand:
    """Where the painter saw a landmark on a canvas photo: px of the upright photo (whole numbers at pixel centres).

    ``photo_width``, ``photo_height``: of that photo, px, about whose middle the lens bends.
    """

    name: str
    x_px: float
    y_px: float
    photo_width: int
    photo_height: int
    placed_at: datetime


@dataclass(frozen=True)
class DrawingRecord:
    """One saved version of the drawing, without its text."""

    id: int
    made_at: datetime
    note: str


@dataclass(frozen=True)
class CheckRecord:
    """The last check of a canvas photo.

    ``result``: JSON text. ``is_current``: False once anything it was made from has changed (size, reference, drawing,
    corners, lens, blank, photos with the lamp moved, known greys and colour chart).
    """

    canvas_photo_id: int
    result: str
    made_at: datetime
    is_current: bool


@dataclass(frozen=True)
class RatingRecord:
    """The last rating of a photograph.

    ``rating``: JSON text. ``is_current``: False once anything it was made from has changed (corners and lens, and with
    them size and reference), or when another version of the ratings is wanted.
    """

    photo_id: int
    rating: str
    is_current: bool


def now() -> str:
    """The time as it is written in the painting: UTC, ISO 8601. For showing only; nothing is ever ordered by it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def plain_text(text: str) -> str:
    """Text that can be stored as UTF-8: what a file name could not decode becomes a question mark."""
    return text.encode("utf-8", "replace").decode("utf-8")


def corners_from(corners: Any) -> Corners:
    """Four (x, y) pairs of finite numbers, px, from anything shaped (4, 2). Raises PaintingError with a sentence."""
    try:
        placed = tuple((float(x), float(y)) for x, y in corners)
    except (TypeError, ValueError) as error:
        raise PaintingError("Corners are four points, each an x and a y in photo pixels. Place all four.") from error
    if len(placed) != 4 or not all(math.isfinite(side) for point in placed for side in point):
        raise PaintingError("Corners are four points, each an x and a y in photo pixels. Place all four.")
    return placed


def corners_text(corners: Any) -> str | None:
    """The stored form of corners, or None for none."""
    return None if corners is None else json.dumps(corners_from(corners))


def json_text(value: Any) -> str:
    """The stored form of a JSON document. Raises PaintingError when it is not one."""
    try:
        return plain_text(json.dumps(value, ensure_ascii=False, allow_nan=False))
    except (TypeError, ValueError) as error:
        raise PaintingError(f"This cannot be kept with the painting, since it is not plain data: {error}.") from error


def _corners(text: str | None) -> Corners | None:
    return None if text is None else corners_from(json.loads(text))


def _moment(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def painting_from(row: sqlite3.Row) -> PaintingRecord:
    """The painting from its row."""
    size = Size(row["width_mm"], row["height_mm"])
    made_at = datetime.fromisoformat(row["made_at"])
    return PaintingRecord(row["uuid"], row["title"], size, row["steps"], made_at)


def photo_from(row: sqlite3.Row, state: PhotoState = "good", *, already_there: bool = False) -> PhotoRecord:
    """A photo from its row. Raises DamagedError when its file name would lead out of the photos folder."""
    file = row["file"]
    if not file or file != file.replace("\\", "/").rpartition("/")[2] or file in (".", "..") or ":" in file:
        raise DamagedError(DAMAGED)
    added_at = datetime.fromisoformat(row["added_at"])
    return PhotoRecord(row["id"], file, row["name"], row["sha256"], row["bytes"], added_at, state, already_there)


def canvas_photo_from(row: sqlite3.Row, photo: PhotoRecord) -> CanvasPhotoRecord:
    """A canvas photo from its row and its photo."""
    return CanvasPhotoRecord(
        id=row["id"],
        photo=photo,
        sitting=row["sitting"],
        position=row["position"],
        name=row["name"],
        corners=_corners(row["corners"]),
        found_by=cast(FoundBy | None, row["found_by"]),
        lens_k1=row["lens_k1"],
        is_blank=bool(row["is_blank"]),
        blank_id=row["blank_id"],
        taken_at=_moment(row["taken_at"]),
        added_at=datetime.fromisoformat(row["added_at"]),
        note=row["note"],
        removed=bool(row["removed"]),
    )


def reference_from(row: sqlite3.Row, photo: PhotoRecord) -> ReferenceRecord:
    """The reference from its row and its photo."""
    return ReferenceRecord(photo, _corners(row["crop"]))


def documents_from(rows: Iterable[sqlite3.Row]) -> dict[str, Any]:
    """Named JSON documents (plans, settings) from their rows."""
    return {row["name"]: json.loads(row["value"]) for row in rows}


def finite(number: float, what: str) -> float:
    """The number, or PaintingError when it is not one that can be stored."""
    if not math.isfinite(number):
        raise PaintingError(f"{what} is not a number. Set it again.")
    return float(number)


def landmark_by_hand_from(row: sqlite3.Row) -> LandmarkByHand:
    """A landmark placed by hand from its row."""
    return LandmarkByHand(
        name=row["name"],
        x_px=row["x_px"],
        y_px=row["y_px"],
        photo_width=row["photo_width"],
        photo_height=row["photo_height"],
        placed_at=datetime.fromisoformat(row["placed_at"]),
    )


def drawing_from(row: sqlite3.Row) -> DrawingRecord:
    """One version of the drawing from its row."""
    return DrawingRecord(row["id"], datetime.fromisoformat(row["made_at"]), row["note"])


def check_from(row: sqlite3.Row, *, is_current: bool) -> CheckRecord:
    """A check from its row."""
    return CheckRecord(row["canvas_photo_id"], row["result"], datetime.fromisoformat(row["made_at"]), is_current)


def rating_from(row: sqlite3.Row, *, is_current: bool) -> RatingRecord:
    """A rating from its row."""
    return RatingRecord(row["photo_id"], row["rating"], is_current)
