"""The final photo, and its colours by a card that lies in it."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import PainterError
from core.painting_report.card import CardCorrection, card_correction
from core.painting_report.parts import ReportInput
from core.painting_report.pictures import Made, Pixels, flat, packed, read
from core.photo import Photo, save_jpeg, save_png
from core.tone import display_of_linear, strips

Linear = NDArray[np.float32]

NO_CARD = (
    "No colour card was seen in the final photo, so its colours are as the camera made them. Photograph the painting "
    "with a 24-patch card beside it, in the same light, to have them corrected."
)
_OUTSIDE = 0.004
_OUTSIDE_TOLD = 0.005


@dataclass(frozen=True, eq=False)
class Final:
    """``picture``: sRGB codes, corrected where there is a ``correction``, and then ``as_shot`` too. ``problem``: why
    there is no picture. ``says``: whole sentences about its colours."""

    picture: Pixels | None = None
    as_shot: Pixels | None = None
    correction: CardCorrection | None = None
    problem: str = ""
    says: tuple[str, ...] = ()

    def made(self, most_bytes: int) -> Made:
        """As a JPEG, or why there is none."""
        return Made(problem=self.problem) if self.picture is None else packed(self.picture, most_bytes)


def final_of(report: ReportInput, room_mm: tuple[float, float]) -> Final:
    """The final photo as large as ``room_mm`` wants it. What stands in the way is told by a sentence."""
    if report.final is None:
        return Final()
    try:
        photo = read(report.final)
        as_shot = flat(report.final, photo, report.size, room_mm)
    except PainterError as trouble:
        return Final(problem=str(trouble))
    if not report.look_for_card:
        return Final(as_shot)
    try:
        found = card_correction(photo, edition=report.edition, canvas_px=report.final.corners)
    except PainterError as trouble:
        return Final(as_shot, says=(f"The colours are as the camera made them. {trouble}",))
    if found is None:
        return Final(as_shot, says=(NO_CARD,))
    outside: list[float] = []

    def correct(light: Linear) -> Linear:
        made = corrected(light, found)
        outside.append(_share_outside(made))
        return made

    picture = flat(report.final, photo, report.size, room_mm, correct)
    return Final(picture, as_shot, found, says=(*found.say(), *_say_outside(outside[0])))


def corrected(light: Linear, correction: CardCorrection) -> Linear:
    """Linear light ``(h, w, 3)`` float32 of a picture, corrected, not clipped; a strip at a time."""
    made = np.empty_like(light)
    for rows in strips(light.shape):
        made[rows] = correction.of(light[rows])
    return made


def save_corrected(photo: Photo, correction: CardCorrection, path: Path) -> None:
    """The whole photo with its colours corrected, as a JPEG or PNG by the ending of ``path``, with the sRGB profile in
    it. Raises PainterError with a sentence."""
    kind = {".jpg": save_jpeg, ".jpeg": save_jpeg, ".png": save_png}.get(path.suffix.lower())
    if kind is None:
        raise PainterError("The corrected photo is saved as a JPEG or PNG. End its name in .jpg or .png.")
    codes = np.empty((photo.height, photo.width, 3), np.uint8)
    for rows in strips(codes.shape):
        codes[rows] = display_of_linear(corrected(photo.linear(rows), correction))
    kind(path, codes)


def _share_outside(light: Linear) -> float:
    return float(((light < -_OUTSIDE) | (light > 1 + _OUTSIDE)).any(axis=2).mean())


def _say_outside(share: float) -> tuple[str, ...]:
    if share < _OUTSIDE_TOLD:
        return ()
    return (f"{100 * share:.0f} % of the picture is stronger than print and screen can show, and is shown duller.",)
