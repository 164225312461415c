"""The printed pages of the mix panel, written in a worker."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.mixing.jobs import Strings
from app.mixing.kept import Mix
from app.mixing.words import first_up
from app.work import Progress
from core.errors import PaintError
from core.size import PAPERS

if TYPE_CHECKING:
    from core.paint.paint_box import PaintBox


@dataclass(frozen=True, eq=False)
class ListOrder:
    """``box``: the tubes there are. ``paper``: its name."""

    mixes: tuple[Mix, ...]
    box: "PaintBox"
    paper: str
    title: str


@dataclass(frozen=True, eq=False)
class StringOrder:
    """A string, with the plain grey beside it where that is shown."""

    strings: Strings
    box: "PaintBox"
    paper: str
    title: str


def write_list(order: ListOrder, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.mix_page import Entry, mixing_list_page
    from core.paint.recipe import recipe_of
    from core.paint.target import Target

    progress(say="Setting the list")
    tubes = order.box.tubes
    there = [mix for mix in order.mixes if all(name in tubes for name in mix.whole)]
    gone = [mix for mix in order.mixes if mix not in there]
    if not there:
        raise PaintError("The tubes of these mixes are no longer among yours. Mix the passages anew.")
    recipes = [recipe_of(Target.of_linear(mix.light, within_srgb=False), mix.whole, tubes) for mix in there]
    entries = [Entry.of(_named(mix), recipe, tubes) for mix, recipe in zip(there, recipes, strict=True)]
    title = f"{order.title}: mixing list"
    pages = mixing_list_page(path, entries, tubes=tubes, paper=PAPERS[order.paper], title=title)
    left_out = f" Left out: {', '.join(mix.told for mix in gone)}, of tubes that are no longer there." if gone else ""
    return f"The mixing list, {pages} {'page' if pages == 1 else 'pages'}.{left_out}"


def write_string(order: StringOrder, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.string_page import StringPage, write_string_page

    progress(say="Setting the string")
    told = order.strings
    strings = [(told.headings[0], told.first), *([(told.headings[1], told.second)] if told.second is not None else [])]
    page = StringPage(
        strings, order.box.tubes, told.notes, paper=PAPERS[order.paper], title=f"{order.title}: value string"
    )
    pages = write_string_page(path, page)
    return f"The string, {pages} {'page' if pages == 1 else 'pages'}."


def _named(mix: Mix) -> str:
    return f"{mix.number}. {first_up(mix.told)}" if mix.name else first_up(mix.told)
