"""What one layer of paint is made of, as far as it matters to the layer above it and to how it dries."""

from dataclasses import dataclass
from enum import StrEnum


class Medium(StrEnum):
    """What the paint is let down with, the leanest first; alkyd stands apart, for it is fat and fast at once."""

    SOLVENT = "solvent"
    STRAIGHT = "straight"
    LITTLE_OIL = "little oil"
    MORE_OIL = "more oil"
    ALKYD = "alkyd"


class Thickness(StrEnum):
    """Thin: scrubbed or glazed, the ground shows through. Usual: covers, brush marks low. Thick: ridges and impasto."""

    THIN = "thin"
    USUAL = "usual"
    THICK = "thick"


class Ground(StrEnum):
    """What lies beneath the first layer. Chalk in glue drinks oil, acrylic a little, oil hardly any."""

    ACRYLIC = "acrylic"
    OIL = "oil"
    CHALK = "chalk"


@dataclass(frozen=True)
class Layer:
    """``pigments``: Colour Index generic names of the tubes in it ("PW6"), without order, empty where not told."""

    medium: Medium
    thickness: Thickness
    pigments: tuple[str, ...] = ()


@dataclass(frozen=True)
class Room:
    """Where the painting dries. ``temperature_c``: degrees Celsius. ``humidity``: relative, per cent, 0-100."""

    temperature_c: float = 20.0
    humidity: float = 50.0
