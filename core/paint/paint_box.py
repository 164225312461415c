"""The painter's own tubes and palettes, in one file."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from core.errors import PaintError
from core.paint.own_tube import read_text, read_texts, read_tube, trouble_of
from core.paint.palette import Palette, palettes
from core.paint.spectrum import WAVELENGTHS
from core.paint.tubes import Tube, as_told, tubes
from core.whole_file import save_bytes

SCHEMA = 1
"""Of the file; any change of key, unit or meaning is a new number."""

_LONGEST = 32 * 2**20


@dataclass(frozen=True, eq=False)
class PaintBox:
    """``tubes``: all there are by name, the painter's own (``own``) in the place of those of the program that have the
    same name. ``palettes``: no name twice, each of tubes that there are.

    Raises PaintError where that is not so.
    """

    tubes: Mapping[str, Tube]
    palettes: tuple[Palette, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "tubes", MappingProxyType(dict(self.tubes)))
        for name, tube in self.tubes.items():
            if name != tube.name or not name.strip():
                raise PaintError(f"The tube “{name}” is put away as “{tube.name}”. Give it one name.")
        names = [_key(palette.name) for palette in self.palettes]
        for palette, key in zip(self.palettes, names, strict=True):
            if names.count(key) > 1:
                raise PaintError(f"There are two palettes “{palette.name}”. Give one of them another name.")
        laid = tuple(Palette.of(palette.name, palette.tubes, self.tubes) for palette in self.palettes)
        object.__setattr__(self, "palettes", laid)

    @property
    def own(self) -> tuple[Tube, ...]:
        """The painter's own tubes."""
        return tuple(tube for tube in self.tubes.values() if tube.own)

    def with_tube(self, tube: Tube) -> "PaintBox":
        """With one more tube of the painter's own, or in the place of the one with its name. Raises PaintError where
        its name or its figures are none, or the other one serves as a white or black and it does not, or it alone."""
        trouble = trouble_of(tube)
        if trouble is not None:
            raise PaintError(f"This tube cannot be kept: {trouble}. Give it another name, or read its swatches anew.")
        there = next((each for name, each in self.tubes.items() if _key(name) == _key(tube.name)), None)
        for role in ("white", "black") if there is not None else ():
            is_one, was_one = getattr(tube, role), getattr(there, role)
            if is_one != was_one:
                told = f"serves as a {role} and this tube does not" if was_one else f"does not serve as a {role}"
                raise PaintError(f"The tube “{tube.name.strip()}” that there is {told}. Give yours another name.")
        return replace(self, tubes=_with(self.tubes, tube))

    def without_tube(self, name: str) -> "PaintBox":
        """Without an own tube; the program's of that name is there again. Raises PaintError where there is no such
        own tube, or a palette would lose it."""
        if name not in self.tubes or not self.tubes[name].own:
            raise PaintError(f"“{name}” is no tube of your own. Only those can be taken out.")
        kept = {each: tube for each, tube in self.tubes.items() if each != name}
        stored = tubes().get(name)
        if stored is None:
            using = next((palette.name for palette in self.palettes if name in palette.tubes), None)
            if using is not None:
                raise PaintError(f"“{name}” lies on the palette “{using}”. Take it off there first.")
            return replace(self, tubes=kept)
        return replace(self, tubes=merged([tube for tube in kept.values() if tube.own]))

    def with_palette(self, palette: Palette) -> "PaintBox":
        """With one more palette, or in the place of the one with its name. Raises PaintError for another one than
        comes with the program under that name."""
        key = _key(palette.name)
        start = next((each for each in palettes() if _key(each.name) == key), None)
        if start is not None and [*map(_key, palette.tubes)] != [*map(_key, start.tubes)]:
            raise PaintError(f"The palette “{start.name}” comes with the program. Give yours another name.")
        if any(_key(each.name) == key for each in self.palettes):
            kept = tuple(palette if _key(each.name) == key else each for each in self.palettes)
            return replace(self, palettes=kept)
        return replace(self, palettes=(*self.palettes, palette))

    def without_palette(self, name: str) -> "PaintBox":
        """Without one. Raises PaintError where there is none of that name, or no other is left."""
        key = _key(name)
        kept = tuple(each for each in self.palettes if _key(each.name) != key)
        if len(kept) == len(self.palettes):
            raise PaintError(f"There is no palette “{name}” to take out. Choose one that there is.")
        if not kept:
            raise PaintError(f"“{name}” is the only palette. Make another before you take it out.")
        return replace(self, palettes=kept)

    @staticmethod
    def is_start_palette(name: str) -> bool:
        """Whether a palette of that name comes with the program."""
        return any(_key(each.name) == _key(name) for each in palettes())

    def with_start_palettes(self) -> "PaintBox":
        """With every palette that comes with the program as it came: those that were taken out are there again before
        the painter's own, those that were changed in their places."""
        start = {_key(each.name): each for each in palettes()}
        kept = [start.get(_key(each.name), each) for each in self.palettes]
        there = {_key(each.name) for each in kept}
        missing = [each for key, each in start.items() if key not in there]
        own = [each for each in kept if not self.is_start_palette(each.name)]
        if not missing:
            return replace(self, palettes=tuple(kept))
        return replace(self, palettes=(*start.values(), *own))


def start_box() -> PaintBox:
    """The tubes and palettes that come with the program."""
    return PaintBox(tubes(), palettes())


def merged(own: Sequence[Tube]) -> dict[str, Tube]:
    """The program's tubes, with a painter's own in the place of those of the same name, and the others after them."""
    held: Mapping[str, Tube] = tubes()
    for tube in own:
        held = _with(held, tube)
    return dict(held)


def _with(held: Mapping[str, Tube], tube: Tube) -> dict[str, Tube]:
    """With one more own tube, in the place of the one that has its name in any case."""
    wanted = tube.name.strip()
    name = next((each for each in held if each.casefold() == wanted.casefold()), wanted)
    return {**held, name: replace(tube, name=name, own=True)}


def _key(name: str) -> str:
    return name.strip().casefold()


def read_paint_box(path: Path) -> PaintBox:
    """What :func:`write_paint_box` wrote; the start set where there is no file.

    Raises PaintError where the file is damaged, of a newer program or no paint box. The file is left as it is.
    """
    try:
        if path.stat().st_size > _LONGEST:
            raise _unreadable(path, "it is too long")
        held = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return start_box()
    except OSError as trouble:
        raise PaintError(
            f"The paint box “{path}” cannot be opened: {trouble.strerror}. See that it is a file that you may read."
        ) from trouble
    except (ValueError, RecursionError) as trouble:
        raise _unreadable(path, "it is damaged, or not a paint box") from trouble
    if not isinstance(held, dict) or type(held.get("paint_box")) is not int:
        raise _unreadable(path, "it is not a paint box")
    if held["paint_box"] != SCHEMA:
        raise PaintError(
            f"The paint box “{path.name}” was saved by another version of Easelside. Open it there, or bring this "
            "one up to date; the file was left as it is."
        )
    return _box(path, held)


def write_paint_box(path: Path, box: PaintBox) -> None:
    """Write the painter's own tubes and all palettes, whole or not at all. Raises PainterError where that fails."""
    told = {
        "paint_box": SCHEMA,
        "wavelengths_nm": WAVELENGTHS.tolist(),
        "tubes": [as_told(tube) for tube in box.own],
        "palettes": [{"name": each.name, "tubes": list(each.tubes)} for each in box.palettes],
    }
    save_bytes(path, (json.dumps(told, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode("utf-8"))


def _unreadable(path: Path, why: str) -> PaintError:
    return PaintError(
        f"The paint box “{path.name}” cannot be read: {why}. Put a good copy in its place, or move it away to begin "
        "anew; it was left as it is."
    )


def _box(path: Path, held: Mapping[str, Any]) -> PaintBox:
    try:
        if held["wavelengths_nm"] != WAVELENGTHS.tolist():
            raise ValueError("its tubes are measured at other wavelengths")
        own = [read_tube(each) for each in _entries(held["tubes"])]
        laid = tuple(Palette(read_text(each["name"]), read_texts(each["tubes"])) for each in _entries(held["palettes"]))
        if len({_key(tube.name) for tube in own}) < len(own):
            raise ValueError("it has two tubes of one name")
        if not laid:
            raise ValueError("it has no palette")
        return PaintBox(merged(own), laid)
    except KeyError as missing:
        raise _unreadable(path, f"“{missing.args[0]}” is missing in it") from missing
    except ValueError as trouble:
        raise _unreadable(path, str(trouble)) from trouble
    except (TypeError, OverflowError) as trouble:
        raise _unreadable(path, "a number or a text in it is not written as it should be") from trouble
    except PaintError as trouble:
        raise _unreadable(path, str(trouble).split(". ")[0].rstrip(".")) from trouble


def _entries(told: Any) -> list[dict[str, Any]]:
    if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
        raise ValueError("its tubes or palettes are not a list of named entries")
    return told
