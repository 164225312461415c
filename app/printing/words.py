"""What is said of the sheets."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.drawing.sheet import Sheets

REMINDER = "Print at actual size (100 %), not fitted to the page, and check the ruler on each sheet."


def sheets_said(sheets: "Sheets") -> str:
    """Such as ``6 sheets of A4, on their side, after the plan.``"""
    from core.drawing.sheet import paper_name

    one = sheets.count == 1
    name = paper_name(sheets.paper)
    way = ("on its side" if one else "on their side") if sheets.pages[0].on_its_side else "upright"
    square = sheets.paper.width_mm == sheets.paper.height_mm
    return f"{sheets.count} {'sheet' if one else 'sheets'} of {name}, {'' if square else f'{way}, '}after the plan."


def page_said(sheets: "Sheets", index: int) -> str:
    """Which page is shown."""
    what = "mounting plan" if index == 0 else f"sheet {sheets.pages[index].name}"
    return f"Page {index + 1} of {len(sheets.pages)}: {what}"
