"""The mixing list in print: what is wanted beside what is mixed, the parts, how near it is; then the tubes needed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from core.colorimetry import lab, luminance, munsell_value, warmth_of_lab
from core.errors import PaintError
from core.mix_pages import (
    HONEST,
    PARTS,
    Line,
    beyond_print,
    cautions_of,
    head,
    lines_mm,
    page_number,
    set_lines,
    swatch_code,
    too_small,
    tube_words,
    used_tubes,
    whole_warmth,
)
from core.paint.recipe import Recipe
from core.paint.recipe_tints import in_steps
from core.paint.tubes import Tube
from core.paint.tubes import tubes as known_tubes
from core.paint.value_string import say_mix
from core.print_page import INK, MARGIN_MM, RULE, SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

Light = tuple[float, float, float]

_SIDE_MM, _ROW_MM, _BETWEEN_MM, _BESIDE_MM = 22.0, 24.0, 2.0, 4.0
_TUBE_MM, _LINE_MM = 5.0, 4.0
_HEADING_MM, _EDGE_MM, _LEAST_WORDS_MM = 11.0, 0.1, 25.0


_UNDER = (
    "Left what is wanted, right what is mixed. CIEDE2000: how far apart, under 1 hardly seen. T is warmth: "
    "a neutral is 0."
)


@dataclass(frozen=True, eq=False)
class Entry:
    """One mix of the list. ``target``, ``mixed``: linear light in the sRGB primaries of what is wanted and what is
    mixed; ``parts``: whole parts by the name of the tube; ``difference``: CIEDE2000; ``say``: in which way it misses;
    ``steps``: how it is mixed in two steps, where it is.

    Raises PaintError where there are no parts.
    """

    name: str
    target: Light
    mixed: Light
    parts: Mapping[str, int]
    difference: float
    say: str
    steps: str = ""

    def __post_init__(self) -> None:
        if not any(part > 0 for part in self.parts.values()):
            raise PaintError(f"“{self.name}” has no parts to mix. Choose a mix for it.")

    @classmethod
    def of(cls, name: str, recipe: Recipe, tubes: Mapping[str, Tube] | None = None) -> "Entry":
        """A recipe under the name of its passage. ``tubes``: by name, those that come with the program when not
        given."""
        steps = in_steps(recipe.parts, known_tubes() if tubes is None else tubes)
        return cls(
            name, recipe.target.linear_rgb, recipe.linear_rgb, recipe.parts, recipe.delta_e, str(recipe.miss),
            "" if steps is None else steps.say(),
        )  # fmt: skip

    def lines(self) -> list[Line]:
        """The words beside the swatches."""
        value, warmth = float(munsell_value(luminance(self.target))), float(warmth_of_lab(lab(self.target)))
        off = [what for what, light in (("wanted", self.target), ("mixed", self.mixed)) if beyond_print(light)]
        told: list[Line] = [
            (self.name, 10, "SemiBold"),
            (say_mix(self.parts), 9.5, "Medium"),
            *([(_capital(self.steps), 8.5, "Medium")] if self.steps else []),
            (f"{_capital(self.say)} · CIEDE2000 {self.difference:.1f}", 8, "Regular"),
            (f"Wanted: value {value:.1f}, T {whole_warmth(warmth)}", 8, "Regular"),
        ]
        if off:
            told.append((f"{_capital(' and '.join(off))} stronger than print and screen can show", 7.5, "Regular"))
        return told


def mixing_list_page(
    path: Path,
    entries: Sequence[Entry],
    *,
    tubes: Mapping[str, Tube] | None = None,
    paper: Size | None = None,
    title: str = "Mixing list",
) -> int:
    """Write the list as a PDF, whole or not at all; give back how many pages it has. ``tubes``: by name, those of the
    entries among them; those that come with the program when not given. ``paper``: A4 when not given. Raises
    PainterError with a sentence, also for an empty list or an unknown tube."""
    made, pages = mixing_list_bytes(entries, tubes=tubes, paper=paper, title=title)
    save_bytes(path, made)
    return pages


def mixing_list_bytes(
    entries: Sequence[Entry],
    *,
    tubes: Mapping[str, Tube] | None = None,
    paper: Size | None = None,
    title: str = "Mixing list",
) -> tuple[bytes, int]:
    """The PDF, and how many pages it has."""
    if not entries:
        raise PaintError("There is nothing on the mixing list. Pin a passage and mix it first.")
    among = known_tubes() if tubes is None else tubes
    needed = used_tubes((entry.parts for entry in entries), among)
    sheet = _Sheet(Print(title, paper or PAPERS["A4"]), title, pages=0)
    _set(sheet, entries, needed)
    counted = _Sheet(Print(title, paper or PAPERS["A4"]), title, pages=sheet.number)
    _set(counted, entries, needed)
    return counted.finished(), counted.number


@dataclass
class _Sheet:
    """Pages that are filled from the top. ``pages``: how many there are in all, 0 while that is being found."""

    pdf: Print
    title: str
    pages: int
    number: int = 0
    top: float = 0.0
    under: str = field(default=_UNDER, repr=False)

    @property
    def page(self) -> PrintPage:
        return self.pdf.page

    @property
    def wide(self) -> float:
        return self.page.width_mm - 2 * MARGIN_MM

    def room(self, high: float) -> float:
        """Where something so high begins; on the next page where this one has no room for it. Raises PaintError where
        no page has."""
        end = self.page.height_mm - MARGIN_MM
        if self.number == 0 or self.top + high > end:
            self._begin()
            if self.top + high > end:
                raise too_small(self.pdf.page.paper, "the mixing list")
        top = self.top
        self.top += high
        return top

    def finished(self) -> bytes:
        self.pdf.turn()
        return self.pdf.finished()

    def _begin(self) -> None:
        if self.number:
            self.pdf.turn()
        self.number += 1
        self.top = head(self.page, self.title, self.under)
        page_number(self.page, self.number, self.pages)


def _set(sheet: _Sheet, entries: Sequence[Entry], needed: Sequence[Tube]) -> None:
    for entry in entries:
        _entry(sheet, entry)
    heading = _HEADING_MM
    for row in _tube_rows(entries, needed):
        top = sheet.room(heading + _tube(sheet, row, 0.0, draw=False))
        if heading:
            sheet.page.text("Tubes needed", MARGIN_MM, top + heading - 2.5, 10, weight="SemiBold")
        _tube(sheet, row, top + heading)
        heading = 0.0
    about: list[Line] = [(say, 7.5, "Regular") for say in (*cautions_of(needed), f"{PARTS} {HONEST}")]
    for at, line in enumerate(about):
        gap = _BETWEEN_MM if at == 0 else 0.0
        top = sheet.room(lines_mm(sheet.page, [line], sheet.wide) + gap)
        set_lines(sheet.page, [line], MARGIN_MM, top + gap, sheet.wide)


def _entry(sheet: _Sheet, entry: Entry) -> None:
    beside = MARGIN_MM + 2 * _SIDE_MM + _BESIDE_MM
    room = sheet.page.width_mm - MARGIN_MM - beside
    if room < _LEAST_WORDS_MM:
        raise too_small(sheet.page.paper, "the mixing list")
    high = max(_ROW_MM, lines_mm(sheet.page, entry.lines(), room) + _BETWEEN_MM)
    top = sheet.room(high)
    for column, light in enumerate((entry.target, entry.mixed)):
        sheet.page.box(MARGIN_MM + column * _SIDE_MM, top, _SIDE_MM, _SIDE_MM, swatch_code(light))
    _around(sheet.page, MARGIN_MM, top, 2 * _SIDE_MM, _SIDE_MM)
    set_lines(sheet.page, entry.lines(), beside, top, room)


def _around(page: PrintPage, x: float, y: float, wide: float, high: float) -> None:
    """A thin edge about both swatches and none between them, so that the eye can compare them."""
    corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
    for start, end in pairwise(corners):
        page.line(start, end, _EDGE_MM, RULE)


def _tube_rows(entries: Sequence[Entry], needed: Sequence[Tube]) -> Iterator[tuple[Tube, str]]:
    for tube in needed:
        of = sum(entry.parts.get(tube.name, 0) > 0 for entry in entries)
        yield tube, f"in {of} of {len(entries)} mixes" if len(entries) > 1 else ""


def _tube(sheet: _Sheet, row: tuple[Tube, str], top: float, *, draw: bool = True) -> float:
    """One tube; gives how high its row is."""
    tube, how_often = row
    first, wide = top + 3.2, sheet.wide
    columns = ((tube.name, 8.5, 0.0, 0.27), (tube_words(tube), 8.0, 0.27, 0.55), (how_often, 8.0, 0.83, 0.17))
    ends = []
    for at, (said, size, left, room) in enumerate(columns):
        weight, grey = ("Regular", SOFT) if at else ("Medium", INK)
        x, room_mm = MARGIN_MM + left * wide, room * wide - _BETWEEN_MM
        ends.append(sheet.page.text(said, x, first, size, weight=weight, grey=grey, room=room_mm, draw=draw))
    return max(max(ends) - first + _TUBE_MM - _LINE_MM, _TUBE_MM)


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
