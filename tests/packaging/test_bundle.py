"""What goes into the bundle and into the packages: by names alone, but for the slow building of it."""

import os
import subprocess
import sys
from pathlib import Path

import desktop
import packages
import pytest
import smoke
from contents import data_files, is_kept, is_left_to_system, is_qt_library, unreached
from PIL import Image
from stand_ins import is_stood_in_for, source, symbols, version_script

ROOT = Path(__file__).resolve().parents[2]
OBJDUMP_T = """
libssl.so:     file format elf64-x86-64

DYNAMIC SYMBOL TABLE:
0000000000000000      DF *UND*  0000000000000000 (GLIBC_2.2.5) memcpy
0000000000020a10 g    DF .text  00000000000000a3  OPENSSL_1_1_0 SSL_new
0000000000020b10 g    DF .text  00000000000000a3  Base        plain
0000000000000000  w   D  *UND*  0000000000000000              __gmon_start__
"""


def test_every_file_that_is_not_code_comes_along() -> None:
    places = {f"{folder}/{file.name}" for file, folder in data_files(ROOT)}
    wanted = {
        *("assets/fonts/Inter-Regular.ttf", "assets/fonts/OFL.txt", "assets/tubes.json", "assets/observer.json"),
        *("assets/tick.svg", "assets/demo/reference.jpg", "assets/icon/easelside.svg", "app/handover/page.html"),
        *("app/handover/page.css", "app/handover/page.js", "assets/earths.json", "assets/demo/drawing.svg"),
    }
    assert wanted <= places
    assert not [place for place in places if place.endswith((".py", ".pyc"))]


def test_of_qt_only_what_the_window_uses() -> None:
    plugins = "PySide6/Qt/plugins"
    kept = (
        "platforms/libqxcb.so",
        "platforms/libqoffscreen.so",
        "imageformats/libqsvg.so",
        "iconengines/libqsvgicon.so",
    )
    gone = (
        "platforms/libqvnc.so",
        "platformthemes/libqgtk3.so",
        "imageformats/libqtiff.so",
        "sqldrivers/libqsqlite.so",
    )
    assert all(is_kept(f"{plugins}/{name}") for name in kept)
    assert not any(is_kept(f"{plugins}/{name}") for name in gone)
    assert is_kept("PySide6\\plugins\\platforms\\qwindows.dll")
    assert not is_kept("PySide6/Qt/translations/qt_de.qm")
    assert is_kept("assets/demo/truth.json")
    assert is_qt_library("PySide6/Qt/lib/libQt6Network.so.6")
    assert not is_qt_library("PySide6/QtCore.abi3.so")


def test_libraries_of_the_desktop_stay_the_machines_own() -> None:
    assert is_left_to_system("libstdc++.so.6")
    assert is_left_to_system("libxcb.so.1")
    assert not is_left_to_system("libxcb-cursor.so.0")
    assert not is_left_to_system("libsqlite3.so.0")


def test_a_library_that_nothing_kept_needs_is_left_out() -> None:
    needs = {"plugin": ["a"], "a": ["b"], "lonely": ["other", "a"], "other": ["lonely"], "b": []}
    assert unreached({"a", "b", "lonely", "other"}, ["plugin"], needs.__getitem__) == {"lonely", "other"}


def test_stand_ins_have_the_names_and_versions_of_what_they_stand_for() -> None:
    defined = symbols(OBJDUMP_T, defined=True)
    assert defined == {"SSL_new": "OPENSSL_1_1_0", "plain": "Base"}
    assert symbols(OBJDUMP_T, defined=False) == {"memcpy": "GLIBC_2.2.5", "__gmon_start__": ""}
    assert source(["two", "one"]).splitlines()[0] == "void *one(void) { return 0; }"
    assert version_script({"f": "V_2", "g": "V_1", "h": ""}) == "V_1 { global: g; };\nV_2 { global: f; };\n"
    assert is_stood_in_for("pillow_heif.libs/libx265-4883ecb5.so.217")
    assert not is_stood_in_for("libssl.so.3")


def test_the_desktop_entry_has_what_a_menu_needs() -> None:
    lines = desktop.entry("/opt/it").splitlines()
    entry = dict(line.split("=", 1) for line in lines[1:])
    assert lines[0] == "[Desktop Entry]"
    assert entry["Type"] == "Application"
    assert entry["Exec"] == "/opt/it %F"
    assert {"Graphics", ""} <= set(entry["Categories"].split(";"))
    assert all(entry[key].endswith(";") for key in ("Categories", "Keywords", "MimeType"))
    # The window says the same name, or a desktop shows it without its icon.
    assert f'setDesktopFileName("{entry["Icon"]}")' in (ROOT / "app/window.py").read_text(encoding="utf-8")


def test_what_the_system_has_to_bring_is_read_from_the_libraries() -> None:
    tables = {
        "easelside": "  NEEDED               libc.so.6\n  NEEDED               libown.so\n  0x1 0x00 03 GLIBC_2.4\n",
        "libown.so": "  NEEDED               libEGL.so.1\n    0x069691b2 0x00 02 GLIBC_2.34\n",
    }
    assert packages.needed_outside(tables) == {"libc.so.6", "libEGL.so.1"}
    assert packages.oldest_glibc(tables.values()) == "2.34"
    control = packages.control("1.0", "amd64", ["libc6 (>= 2.34)", packages.alternatives("libglib2.0-0")], 9)
    assert "Depends: libc6 (>= 2.34), libglib2.0-0 | libglib2.0-0t64\n" in control
    assert all(line[0] == " " for line in control.partition("Description: ")[2].splitlines()[1:])


def test_the_icon_is_there_in_every_size(tmp_path: Path) -> None:
    packages.shared_files(tmp_path, "1.0", 86_400)
    for size in (16, 24, 32, 48, 64, 128, 256, 512):
        picture = Image.open(tmp_path / f"icons/hicolor/{size}x{size}/apps/easelside.png")
        assert picture.size == (size, size)
        assert picture.getchannel("A").getextrema() == (0, 255)
        assert picture.convert("L").getextrema()[1] > 200
    assert 'date="1970-01-02"' in (tmp_path / "metainfo/easelside.metainfo.xml").read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_the_bundle_builds_and_runs_alone() -> None:
    command = [sys.executable, str(ROOT / "packaging/bundle/build.py"), "--folder-only"]
    surroundings = {name: value for name, value in os.environ.items() if name != "QT_QPA_PLATFORM"}
    done = subprocess.run(command, env=surroundings, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_smoke_test_finds_a_program_that_does_not_work(tmp_path: Path) -> None:
    program = tmp_path / "easelside"
    program.write_text("#!/bin/sh\necho 'easelside (run from its folder)'\n", encoding="utf-8")
    program.chmod(0o755)
    with pytest.raises(smoke.SmokeError, match="--version said"):
        smoke.smoke(program, tmp_path)
    program.write_text("#!/bin/sh\necho gone wrong >&2\nexit 3\n", encoding="utf-8")
    with pytest.raises(smoke.SmokeError, match="ended with 3 and said:\ngone wrong"):
        smoke.smoke(program, tmp_path)
