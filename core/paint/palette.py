"""Palettes: which tubes lie out, in order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.errors import PaintError
from core.paint.tubes import Tube, tube_named, tubes

MOST_TUBES = 24
UNNAMED = "own"
"""What a palette is called that was told as tubes only. It is not told to the painter."""


@dataclass(frozen=True)
class Palette:
    """``tubes``: names, in the order in which they lie on the palette; 1 to 24, each once.

    Raises PaintError where that is not so. Whether the names are known is told by :meth:`held`.
    """

    name: str
    tubes: tuple[str, ...]

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise PaintError("A palette needs a name. Give it one.")
        if not self.tubes:
            raise PaintError(f"{called(self.name)} has no tubes. Put at least one on it.")
        if len(self.tubes) > MOST_TUBES:
            raise PaintError(
                f"{called(self.name)} has {len(self.tubes)} tubes. Leave out some: it holds {MOST_TUBES} at most."
            )
        keys = [tube.strip().casefold() for tube in self.tubes]
        doubled = next((tube for tube, key in zip(self.tubes, keys, strict=True) if keys.count(key) > 1), None)
        if doubled is not None:
            raise PaintError(f"{called(self.name)} has “{doubled.strip()}” twice. Leave out one of them.")

    @classmethod
    def of(cls, name: str, names: Sequence[str], among: Mapping[str, Tube] | None = None) -> "Palette":
        """A palette of tubes that are known, each told by its name or its only pigment (``PY43``), in any case.

        Raises PaintError for an unknown one, and as the class does.
        """
        return cls(name.strip(), tuple(tube_named(each, among).name for each in names))

    @property
    def white(self) -> str | None:
        """The first tube that serves as white, of those that come with the program."""
        return self.white_among(tubes())

    @property
    def black(self) -> str | None:
        """The first tube that serves as black, of those that come with the program."""
        return self.black_among(tubes())

    def white_among(self, among: Mapping[str, Tube]) -> str | None:
        """The first tube that serves as white."""
        return next((tube.name for tube in self._known(among) if tube.white), None)

    def black_among(self, among: Mapping[str, Tube]) -> str | None:
        """The first tube that serves as black."""
        return next((tube.name for tube in self._known(among) if tube.black), None)

    def _known(self, among: Mapping[str, Tube]) -> list[Tube]:
        by_key = {name.casefold(): tube for name, tube in among.items()}
        return [by_key[key] for key in (name.strip().casefold() for name in self.tubes) if key in by_key]

    def held(self, among: Mapping[str, Tube] | None = None) -> dict[str, Tube]:
        """Its tubes by name, in order. Raises PaintError for one that is not known."""
        return {tube.name: tube for tube in (tube_named(name, among) for name in self.tubes)}

    def needed_white(self, among: Mapping[str, Tube] | None = None) -> str:
        """The white, for what cannot be mixed without one. Raises PaintError where there is none."""
        white = self.white_among(tubes() if among is None else among)
        if white is None:
            raise PaintError(without_white(self))
        return white


def without_white(palette: Palette) -> str:
    """What to tell the painter of a palette on which no white lies."""
    return (
        f"{called(palette.name)} has no white, so nothing lighter than its own tubes can be mixed. "
        "Add titanium white to it."
    )


def called(name: str) -> str:
    """How a sentence begins that is of a palette of that name."""
    return "This palette" if name == UNNAMED else f"The palette “{name}”"


def palettes() -> tuple[Palette, ...]:
    """Those that come with the program, the smallest usual one first."""
    return _START


def palette_named(name: str, among: Sequence[Palette] | None = None) -> Palette:
    """One by its name, in any case. Raises PaintError with the names there are."""
    known = _START if among is None else among
    found = next((each for each in known if each.name.casefold() == name.strip().casefold()), None)
    if found is None:
        raise PaintError(f"There is no palette “{name}” here. Choose from {'; '.join(each.name for each in known)}.")
    return found


def parse_palette(text: str, name: str = UNNAMED, among: Mapping[str, Tube] | None = None) -> Palette:
    """A palette told as tubes with commas between: “yellow ochre, ivory black, PW6”.

    Raises PaintError for an unknown tube, one told twice, none, or more than 24.
    """
    return Palette.of(name, [part.strip() for part in text.split(",") if part.strip()], among)


_START = (
    Palette("ochre, black and white", ("yellow ochre", "ivory black", "titanium white")),
    Palette("ochre, red, black and white", ("yellow ochre", "cadmium red", "ivory black", "titanium white")),
    Palette("umber and white", ("raw umber", "titanium white")),
    Palette(
        "earths",
        ("titanium white", "yellow ochre", "raw sienna", "burnt sienna", "Venetian red", "terre verte", "raw umber",
         "burnt umber", "ivory black"),
    ),
    Palette(
        "a warm and a cool of each primary",
        ("titanium white", "Hansa yellow light", "cadmium yellow medium", "cadmium red", "quinacridone rose",
         "ultramarine", "phthalo blue"),
    ),
    Palette(
        "twelve tubes",
        ("titanium white", "cadmium yellow light", "yellow ochre", "cadmium orange", "cadmium red",
         "quinacridone rose", "burnt sienna", "raw umber", "ultramarine", "cobalt blue", "viridian", "ivory black"),
    ),
    Palette(
        "no lead, cadmium or cobalt",
        ("titanium white", "Hansa yellow light", "Hansa yellow", "yellow ochre", "pyrrole red", "quinacridone rose",
         "burnt sienna", "ultramarine", "phthalo blue", "phthalo green", "ivory black"),
    ),
)  # fmt: skip
