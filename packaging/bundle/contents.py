"""What goes into the bundle and what stays out: names in, names out. Standard library only.

Left out are Qt's parts that no page of the window uses (Quick, QML, Network, its translations: the window is English),
the plugins for other displays, and those libraries of the system that must be the ones of the machine it runs on.
"""

from collections.abc import Callable, Iterable
from pathlib import Path, PurePosixPath

PACKAGES = ("core", "app")
WITH_DATA = ("core", "app", "assets")
_NOT_DATA = {".py", ".pyc", ".pyi"}

EXCLUDED_MODULES = (
    *("tkinter", "idlelib", "lib2to3", "ensurepip", "pip", "setuptools", "curses", "readline", "turtledemo"),
    *("pytest", "matplotlib", "pandas", "IPython", "sphinx", "PIL.ImageTk", "PIL.ImageQt"),
    *(f"PySide6.{part}" for part in ("QtNetwork", "QtQml", "QtQuick", "QtOpenGL", "QtSql", "QtTest", "QtDesigner")),
)
"""What the libraries would bring for uses that are not ours."""

PLUGINS = {
    "platforms": {"qxcb", "qwayland", "qoffscreen", "qwindows", "qcocoa"},
    "imageformats": {"qjpeg", "qsvg"},
    "iconengines": {"qsvgicon"},
    "styles": {"qmacstyle", "qmodernwindowsstyle"},
    "platformthemes": {"qxdgdesktopportal"},
    "platforminputcontexts": {"composeplatforminputcontextplugin", "ibusplatforminputcontextplugin"},
    "xcbglintegrations": {"qxcb-egl-integration", "qxcb-glx-integration"},
    "wayland-shell-integration": {"xdg-shell"},
    "wayland-decoration-client": {"adwaita", "bradient"},
    "wayland-graphics-integration-client": {"qt-plugin-wayland-egl"},
}
"""Qt's plugins that are kept, by folder. The theme of GTK is left out: it would bring the whole of GTK along, and the
desktop's file dialogs come through its portal."""

LEFT_TO_SYSTEM = (
    *(
        "libc.",
        "libm.",
        "libmvec.",
        "libstdc++.",
        "libgcc_s.",
        "libGL",
        "libEGL",
        "libOpenGL.",
        "libgbm.",
        "libdrm.",
        "libglapi.",
    ),
    *("libX11.", "libX11-xcb.", "libxcb.so", "libXau.so", "libXdmcp.", "libwayland-", "libfontconfig.", "libfreetype."),
    *("libexpat.", "libglib-2.0.", "libgthread-2.0.", "libgobject-2.0.", "libgio-2.0.", "libgmodule-2.0."),
    *("libdbus-1.", "libsystemd.", "libcap.", "libgcrypt.", "libgpg-error.", "libpcre2-8.", "libselinux.", "libmount."),
    *("libxkbcommon.", "libharfbuzz.so", "libcups.", "libgssapi_krb5.", "libkrb5", "libk5crypto.", "libcom_err."),
    *("libkeyutils.", "libavahi-", "libgnutls.", "libbsd.", "libmd.", "libudev.", "libpng16.so", "libbrotli"),
)
"""Beginnings of the names of libraries of a desktop on Linux. A copy of an older one beside drivers made for a newer
one is how a bundle fails to start elsewhere: common practice, no source."""


def data_files(root: Path) -> list[tuple[Path, str]]:
    """Every file of the program that is not code, with the folder of the bundle that it goes to."""
    return [
        (file, file.parent.relative_to(root).as_posix())
        for folder in WITH_DATA
        for file in sorted((root / folder).rglob("*"))
        if file.is_file() and file.suffix not in _NOT_DATA and "__pycache__" not in file.parts
    ]


def is_kept(place: str) -> bool:
    """Whether a file at this place in the bundle is one that the window needs, going by Qt's folders alone."""
    path = PurePosixPath(place.replace("\\", "/"))
    if "PySide6" not in path.parts:
        return True
    if {"translations", "qml"} & set(path.parts):
        return False
    if "plugins" not in path.parts:
        return True
    kind = path.parts[path.parts.index("plugins") + 1]
    return path.name.split(".")[0].removeprefix("lib") in PLUGINS.get(kind, set())


def is_left_to_system(name: str) -> bool:
    """Whether a library of the system, by its file's name, is to be the one of the machine that the bundle runs on."""
    return name.startswith(LEFT_TO_SYSTEM)


def unreached(names: Iterable[str], roots: Iterable[str], needed_by: Callable[[str], Iterable[str]]) -> set[str]:
    """Those of ``names`` that none of the ``roots`` needs, nor what they need in turn."""
    waiting = list(roots)
    left = set(names) - set(waiting)
    while waiting:
        found = left.intersection(needed_by(waiting.pop()))
        left -= found
        waiting += found
    return left


def is_qt_library(place: str) -> bool:
    """Whether a file is one of Qt's own libraries, which nothing loads but what is linked to it."""
    path = PurePosixPath(place.replace("\\", "/"))
    return "PySide6" in path.parts and "plugins" not in path.parts and path.name.startswith(("libQt6", "Qt6", "libicu"))
