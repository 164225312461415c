"""The house rules that import-linter cannot see: what loads when, and who touches files and colour codes."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ("PySide6", "scipy", "colour", "reportlab", "cv2", "PIL", "tifffile", "pillow_heif")


def _loaded_by(statement: str) -> set[str]:
    code = f"import sys; {statement}; print('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return {name.partition(".")[0] for name in done.stdout.split()}


def test_core_alone_loads_nothing_heavy() -> None:
    assert not _loaded_by("import core, core.colorimetry, core.size, core.errors") & set(HEAVY)


def test_the_command_line_starts_without_qt_or_tables() -> None:
    assert not _loaded_by("import app.__main__, app.cli") & {"PySide6", "scipy", "colour", "reportlab"}


def test_the_check_needs_no_qt_and_no_colour_science() -> None:
    assert not _loaded_by("import core.check, core.check_files") & {"PySide6", "colour", "reportlab"}


def test_opencv_brings_no_gui_of_its_own() -> None:
    cv2 = pytest.importorskip("cv2")
    information = cv2.getBuildInformation()
    assert re.search(r"GUI:\s+NONE", information)


@pytest.mark.parametrize(
    ("pattern", "why"),
    [
        (r"cv2\.(imread|imwrite|imshow)", "files are decoded by Pillow; nothing is shown by cv2"),
        (r"COLOR_(RGB|BGR)2GRAY", "encoded grey is not value"),
        (r"COLOR_\w*BGR", "BGR never leaves the function that met it, and none meets it"),
        (r"https?://(?!www\.w3\.org/|ns\.)", "nothing is fetched"),
    ],
)
def test_words_that_the_code_does_without(pattern: str, why: str) -> None:
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for folder in ("core", "app")
        for path in sorted((ROOT / folder).rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if re.search(pattern, line)
    ]
    assert not found, why


def test_files_stay_readable() -> None:
    """A file of more than 400 lines holds more than one idea."""
    long = {
        str(path.relative_to(ROOT)): lines
        for folder in ("core", "app", "tests", "packaging", "assets")
        for path in (ROOT / folder).rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long
