"""Where the files that come with the program lie."""

from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "assets"


def font_file(weight: str) -> Path:
    """The TrueType file of the program's own typeface: ``Regular``, ``Medium`` or ``SemiBold``."""
    return FOLDER / "fonts" / f"Inter-{weight}.ttf"
