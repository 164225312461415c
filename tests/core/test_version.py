"""core.version: one source, wherever the program runs from."""

import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest

from core.version import UNKNOWN, VERSION, read_version

ROOT = Path(__file__).resolve().parents[2]


def test_it_is_the_project_s() -> None:
    assert tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"] == VERSION


@pytest.mark.parametrize(
    "text", [None, "", "[project", "[project]\nname = 'other'\nversion = '9'", "project = 3", "\0"]
)
def test_without_its_own_pyproject_it_is_the_package_s(text: str | None, tmp_path: Path) -> None:
    if text is not None:
        (tmp_path / "pyproject.toml").write_text(text, encoding="utf-8")
    assert read_version(tmp_path, "pytest") == version("pytest")
    assert read_version(tmp_path, "a package of no one") == UNKNOWN


def test_of_two_the_clone_s_goes_first(tmp_path: Path) -> None:
    (tmp_path / "pyproject.toml").write_text("[project]\nname = 'pytest'\nversion = '0.0.7'", encoding="utf-8")
    assert read_version(tmp_path, "pytest") == "0.0.7"


def test_the_changelog_begins_with_what_is_not_out_yet_and_knows_the_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    headings = [line for line in text.splitlines() if line.startswith("## ")]
    assert headings[0] == "## [Unreleased]"
    assert VERSION in text
