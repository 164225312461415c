"""Small pictures of photographs, made once in a worker and kept on this machine."""

import os
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from app.work import Progress, Worker

THUMB_PX = 320


class Thumbs(QObject):
    """Keyed by the photo's SHA-256, so that one photo has one small picture whatever painting it is in."""

    ready = Signal(str)  # sha256

    def __init__(self, folder: Path, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.folder = folder
        self._worker = worker
        self._held: dict[str, QImage] = {}
        self._asked: set[str] = set()

    def image(self, sha256: str, file: Path) -> QImage | None:
        """The small picture, or None until ``ready`` says it is there."""
        held = self._held.get(sha256)
        if held is None and sha256 not in self._asked:
            self._asked.add(sha256)
            work = partial(_make, file, self.folder / f"{sha256[:40]}.png")
            self._worker.run(f"thumb {sha256[:12]}", work, partial(self._keep, sha256), _nothing)
            held = self._held.get(sha256)
        return held

    def held(self, sha256: str) -> QImage | None:
        return self._held.get(sha256)

    def _keep(self, sha256: str, image: QImage) -> None:
        self._held[sha256] = image
        self.ready.emit(sha256)


def _make(file: Path, kept: Path, progress: Progress) -> QImage:
    image = QImage(str(kept)) if kept.is_file() else QImage()
    if not image.isNull():
        return image
    from app.picture import qimage_from_srgb
    from core.photo import load_photo
    from core.tone import display_of_linear

    progress(say="Making a small picture")
    image = qimage_from_srgb(display_of_linear(load_photo(file).reduced(THUMB_PX)))
    _save(image, kept)
    return image


def _save(image: QImage, kept: Path) -> None:
    """A small picture that cannot be kept is made again the next time."""
    part = kept.with_name(f"{kept.name}.part")
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        if image.save(str(part), b"PNG"):
            os.replace(part, kept)
    except OSError:
        part.unlink(missing_ok=True)


def _nothing(_: str) -> None:
    """A photo that cannot be shown small says so when it is hung."""
