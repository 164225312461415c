"""The paint of one sitting: medium, thickness, tubes by name, and where it lies. The plan and the log both hold it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.record import Reading, as_list, as_text

_SHARED = frozenset({"PBr7"})
"""Names that umbers and siennas share: what dries them is told by the tube."""


class Lies(StrEnum):
    """Where the paint of a sitting lies, as far as it matters to the layers above it."""

    OVER = "over what was there"
    ELSEWHERE = "elsewhere on the canvas"
    WIPED = "wiped off"


@dataclass(frozen=True)
class SittingTube:
    """A tube by its name in the painter's palette. ``pigments``: its Colour Index names, empty where not told."""

    name: str
    pigments: tuple[str, ...] = ()


@dataclass(frozen=True)
class Coat:
    """``tubes``: without order, empty where not told yet. ``lies``: a coat elsewhere, or wiped off, bears no layer."""

    medium: Medium = Medium.STRAIGHT
    thickness: Thickness = Thickness.USUAL
    tubes: tuple[SittingTube, ...] = ()
    lies: Lies = Lies.OVER

    @property
    def layer(self) -> Layer:
        """What the forecast of drying asks for. Earths of one Colour Index name carry that of their tube
        (``PBr7 burnt sienna``); a tube of no known pigment stands by its own name."""
        named = [
            f"{pigment} {tube.name}" if pigment in _SHARED else pigment
            for tube in self.tubes
            for pigment in (tube.pigments or (tube.name,))
        ]
        return Layer(self.medium, self.thickness, tuple(dict.fromkeys(named)))

    def to_json(self) -> dict[str, Any]:
        """Plain data that :func:`read_coat` reads back."""
        return {
            "medium": str(self.medium),
            "thickness": str(self.thickness),
            "tubes": [{"name": tube.name, "pigments": list(tube.pigments)} for tube in self.tubes],
            "lies": str(self.lies),
        }


USUAL_COAT = Coat()


def read_coat(entry: Mapping[str, Any], where: str, reading: Reading) -> Coat:
    """Of an entry of the plan or the log; ``where`` such as ``sitting 2``. Never raises."""
    usual = USUAL_COAT
    take = reading.take
    tubes = []
    for held in reading.entries(entry, "tubes", f"the tubes of {where}"):
        name = take(held, "name", f"the name of a tube of {where}", as_text, "")
        if name:
            tubes.append(SittingTube(name, take(held, "pigments", f"the pigments of “{name}” in {where}", _texts, ())))
    return Coat(
        take(entry, "medium", f"the medium of {where}", Medium, usual.medium),
        take(entry, "thickness", f"the thickness of {where}", Thickness, usual.thickness),
        tuple(tubes),
        take(entry, "lies", f"where the paint of {where} lies", Lies, usual.lies),
    )


def _texts(value: Any) -> tuple[str, ...]:
    return tuple(as_text(each) for each in as_list(value))
