"""What a painting's folder holds, as a report: reference, drawing, sittings, mixes, checks and the final photo."""

import math
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from core.colorimetry import delta_e_2000, lab
from core.errors import PainterError
from core.mix_pages import tube_words
from core.paint.miss import miss_of
from core.paint.paint import predict
from core.paint.spectrum import linear_rgb
from core.paint.tubes import Tube
from core.paint.tubes import tubes as known_tubes
from core.paint.value_string import say_mix
from core.painting import CanvasPhotoRecord, Painting
from core.painting_report.checks import read_check
from core.painting_report.parts import (
    CheckTold,
    MixTold,
    PaletteTold,
    ReportInput,
    ReportPicture,
    Sitting,
    SittingWords,
)

MIXES = "mixing list"
"""The plan of the painting that holds it: a list of mixes with ``number``, ``light``, ``parts``, ``name``, ``step``."""


def report_input(
    painting: Painting,
    *,
    by: str = "",
    final: int | None = None,
    tubes: Mapping[str, Tube] | None = None,
    plan: tuple[str, ...] = (),
    sittings: Mapping[int, SittingWords] | None = None,
    measured: tuple[str, ...] = (),
) -> ReportInput:
    """All there is to report of an open painting; nothing of it is read but the records.

    ``final``: the canvas photo that shows it finished, by its id; the last on the ledge when not given. ``tubes``: by
    name, those that come with the program when not given. ``plan``, ``measured``: sentences. ``sittings``: what is told
    of each by its number. Raises PaintingError when the painting's own record cannot be read.
    """
    photos = [photo for photo in painting.canvas_photos() if not photo.is_blank]
    chosen = next((photo for photo in photos if photo.id == final), photos[-1] if photos else None)
    told = sittings or {}
    on = [_day(photo) for photo in photos] + [words.on for words in told.values() if words.on is not None]
    among = known_tubes() if tubes is None else tubes
    mixes = painting.plan(MIXES)
    return ReportInput(
        title=painting.title,
        size=painting.size,
        by=by,
        began=min(on, default=painting.record.made_at.date()),
        ended=max(on, default=None),
        reference=_reference(painting),
        drawing_svg=painting.drawing_svg,
        plan=plan,
        sittings=_sittings(painting, photos, told),
        palettes=_tubes_used(mixes, among),
        mixes=_mixes(mixes, among),
        checks=_checks(painting, photos),
        final=None if chosen is None else _picture(painting, chosen),
        measured=measured,
    )


def _day(photo: CanvasPhotoRecord) -> date:
    taken: datetime = photo.taken_at or photo.added_at
    return taken.date()


def _picture(painting: Painting, photo: CanvasPhotoRecord) -> ReportPicture:
    try:
        file, problem = painting.photo_file(photo.photo.id), ""
    except PainterError as trouble:
        file, problem = None, str(trouble)
    return ReportPicture(file, photo.name, photo.corners, photo.lens_k1, problem=problem)


def _reference(painting: Painting) -> ReportPicture | None:
    found = painting.reference
    if found is None:
        return None
    try:
        file, problem = painting.photo_file(found.photo.id), ""
    except PainterError as trouble:
        file, problem = None, str(trouble)
    return ReportPicture(file, found.photo.name, found.crop, whole_is_canvas=True, problem=problem)


def _sittings(
    painting: Painting, photos: list[CanvasPhotoRecord], told: Mapping[int, SittingWords]
) -> tuple[Sitting, ...]:
    """Each with its photos; a sitting of which nothing is told has the day of its first photo."""
    found = []
    for number in sorted({photo.sitting for photo in photos} | set(told)):
        own = [photo for photo in photos if photo.sitting == number]
        words = told.get(number, SittingWords())
        if words.on is None and own:
            notes = tuple(dict.fromkeys(photo.note for photo in own if photo.note))
            on = min(_day(photo) for photo in own)
            words = SittingWords(on, words.aim, words.medium, words.done or notes, words.minutes)
        found.append(Sitting(number, words, tuple(_picture(painting, photo) for photo in own)))
    return tuple(found)


def _checks(painting: Painting, photos: list[CanvasPhotoRecord]) -> tuple[CheckTold, ...]:
    found = []
    for photo in photos:
        record = painting.check_result(photo.id)
        if record is not None:
            found.append(
                read_check(
                    record.result,
                    _picture(painting, photo),
                    sitting=photo.sitting,
                    on=record.made_at.date(),
                    is_current=record.is_current,
                )
            )
    return tuple(found)


def _parts(data: Any) -> dict[str, int]:
    """Raises KeyError, TypeError or ValueError when there are none."""
    parts = {str(name): int(count) for name, count in data["parts"]}
    if not parts or min(parts.values()) < 1:
        raise ValueError("a mix has a few whole parts")
    return parts


def _readable(kept: Any) -> list[tuple[Any, dict[str, int], tuple[float, float, float]]]:
    """The mixes that can be read; others, of a newer version or damaged, are left out."""
    found = []
    for data in kept if isinstance(kept, list) else ():
        try:
            red, green, blue = (float(each) for each in data["light"])
            if all(math.isfinite(each) for each in (red, green, blue)):
                found.append((data, _parts(data), (red, green, blue)))
        except (KeyError, TypeError, ValueError, OverflowError):
            continue
    return found


def _mixes(kept: Any, among: Mapping[str, Tube]) -> tuple[MixTold, ...]:
    return tuple(_mix(data, parts, light, among) for data, parts, light in _readable(kept))


def _mix(data: Any, parts: dict[str, int], light: tuple[float, float, float], among: Mapping[str, Tube]) -> MixTold:
    name = str(data.get("name") or "") or _unnamed(data)
    unknown = [tube for tube in parts if tube not in among]
    if unknown:
        why = f"{', '.join(unknown)} is not among the tubes, so the mix cannot be shown."
        return MixTold(name, light, None, say_mix(parts), why)
    red, green, blue = linear_rgb(predict({tube: among[tube].paint for tube in parts}, parts)).tolist()
    made, wanted = _lab((red, green, blue)), _lab(light)
    miss = f"{miss_of(made, wanted)} · CIEDE2000 {float(delta_e_2000(made, wanted)):.1f}"
    return MixTold(name, light, (red, green, blue), say_mix(parts), miss[:1].upper() + miss[1:])


def _lab(light: tuple[float, float, float]) -> tuple[float, float, float]:
    lightness, a, b = lab(light).tolist()
    return lightness, a, b


def _unnamed(data: Any) -> str:
    step = data.get("step")
    return f"Value step {step}" if step is not None else f"Mix {data.get('number', '')}".strip()


def _tubes_used(kept: Any, among: Mapping[str, Tube]) -> tuple[PaletteTold, ...]:
    """The tubes of all mixes, those that are in most first."""
    count: dict[str, int] = {}
    for _, parts, _ in _readable(kept):
        for tube in parts:
            count[tube] = count.get(tube, 0) + 1
    if not count:
        return ()
    order = sorted(count, key=lambda tube: (-count[tube], tube))
    return (PaletteTold("Tubes used", tuple(_tube(tube, among) for tube in order)),)


def _tube(name: str, among: Mapping[str, Tube]) -> str:
    return f"{name} · {tube_words(among[name])}" if name in among else name
