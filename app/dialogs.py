"""The questions that need a window of their own, as callables, so that tests can answer them."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QInputDialog, QWidget

PHOTO_ENDINGS = ("jpg", "jpeg", "png", "tif", "tiff", "heic", "heif", "webp", "bmp")
_PHOTO_FILES = " ".join(f"*.{e} *.{e.upper()}" for e in PHOTO_ENDINGS)
FILM_ENDINGS = ("mp4", "mov", "m4v", "avi", "mkv", "webm")
_FILMS = f"Films ({' '.join(f'*.{e} *.{e.upper()}' for e in FILM_ENDINGS)});;All files (*)"
_BACKUPS = "Backups (*.zip *.ZIP);;All files (*)"
_PHOTOS = f"Photographs ({_PHOTO_FILES});;All files (*)"
_DRAWINGS = (
    f"Drawings and photos of them (*.svg *.SVG {_PHOTO_FILES});;Drawings (*.svg *.SVG);;"
    f"Photos of drawings ({_PHOTO_FILES});;All files (*)"
)


@dataclass(frozen=True)
class Dialogs:
    """Each gives None (or an empty tuple) when the painter changes their mind."""

    choose_photo: Callable[[QWidget, str], Path | None]
    choose_photos: Callable[[QWidget, str], tuple[Path, ...]]
    choose_drawing: Callable[[QWidget], Path | None]
    choose_folder: Callable[[QWidget, str, Path], Path | None]
    choose_save: Callable[[QWidget, str, Path], Path | None]
    ask_text: Callable[[QWidget, str, str], str | None]
    open_file: Callable[[Path], bool]
    choose_film: Callable[[QWidget], Path | None] = lambda _parent: None
    choose_backup: Callable[[QWidget], Path | None] = lambda _parent: None
    choose_new_folder: Callable[[QWidget, str, Path], Path | None] = lambda _parent, _title, _suggested: None


def real_dialogs() -> Dialogs:
    """The platform's own dialogs."""
    return Dialogs(
        choose_photo=_choose_photo,
        choose_photos=_choose_photos,
        choose_drawing=_choose_drawing,
        choose_folder=_choose_folder,
        choose_save=_choose_save,
        ask_text=_ask_text,
        open_file=_open_file,
        choose_film=_choose_film,
        choose_backup=_choose_backup,
        choose_new_folder=_choose_new_folder,
    )


def _choose_photo(parent: QWidget, title: str) -> Path | None:
    name, _ = QFileDialog.getOpenFileName(parent, title, "", _PHOTOS)
    return Path(name) if name else None


def _choose_photos(parent: QWidget, title: str) -> tuple[Path, ...]:
    names, _ = QFileDialog.getOpenFileNames(parent, title, "", _PHOTOS)
    return tuple(Path(name) for name in names)


def _choose_drawing(parent: QWidget) -> Path | None:
    name, _ = QFileDialog.getOpenFileName(parent, "Bring in a line drawing, or a photo of one", "", _DRAWINGS)
    return Path(name) if name else None


def _choose_folder(parent: QWidget, title: str, start: Path) -> Path | None:
    name = QFileDialog.getExistingDirectory(parent, title, str(start))
    return Path(name) if name else None


def _choose_save(parent: QWidget, title: str, suggested: Path) -> Path | None:
    kind = suggested.suffix
    name, _ = QFileDialog.getSaveFileName(parent, title, str(suggested), f"{kind[1:].upper()} (*{kind})")
    return Path(name) if name else None


def _choose_film(parent: QWidget) -> Path | None:
    name, _ = QFileDialog.getOpenFileName(parent, "A film of the canvas", "", _FILMS)
    return Path(name) if name else None


def _choose_backup(parent: QWidget) -> Path | None:
    name, _ = QFileDialog.getOpenFileName(parent, "The backup of a painting", "", _BACKUPS)
    return Path(name) if name else None


def _choose_new_folder(parent: QWidget, title: str, suggested: Path) -> Path | None:
    """A folder that is not there yet: its name is typed as that of a file would be."""
    unasked = QFileDialog.Option.DontConfirmOverwrite  # nothing is overwritten: a folder that is there is refused
    name, _ = QFileDialog.getSaveFileName(parent, title, str(suggested), "Folders (*)", "", unasked)
    return Path(name) if name else None


def _ask_text(parent: QWidget, question: str, present: str) -> str | None:
    text, accepted = QInputDialog.getText(parent, "Easelside", question, text=present)
    return text.strip() if accepted and text.strip() else None


def _open_file(file: Path) -> bool:
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
