"""Small pictures of photographs, made once in a worker and kept on this machine."""

import os
from collections import deque
from contextlib import suppress
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from app.work import Progress, Worker

CHANNEL = "thumb"
THUMB_PX = 320
_PNG_QUALITY = 80  # of Qt: pressed less hard, a quarter of the time for 4 % more bytes (6 ms against 25, 129 KiB)


class Thumbs(QObject):
    """Keyed by the photo's SHA-256, so that one photo has one small picture whatever painting it is in.

    They are made one at a time, so that what hangs on the wall need not wait for them.
    """

    ready = Signal(str)  # sha256

    def __init__(self, folder: Path, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.folder = folder
        self._worker = worker
        self._held: dict[str, QImage] = {}
        self._asked: set[str] = set()
        self._waiting: deque[tuple[str, Path]] = deque()

    def image(self, sha256: str, file: Path) -> QImage | None:
        """The small picture, or None until ``ready`` says it is there."""
        if sha256 not in self._asked:
            self._asked.add(sha256)
            self._waiting.append((sha256, file))
            self._make_next()
        return self._held.get(sha256)

    def held(self, sha256: str) -> QImage | None:
        return self._held.get(sha256)

    def stop(self) -> None:
        """Nothing that still waits is wanted any more."""
        for sha256, _ in self._waiting:
            self._asked.discard(sha256)
        self._waiting.clear()

    def _make_next(self) -> None:
        if not self._waiting or self._worker.is_busy(CHANNEL):
            return
        sha256, file = self._waiting.popleft()
        work = partial(_make, file, self.folder / file_name(sha256))
        self._worker.run(CHANNEL, work, partial(self._keep, sha256), _nothing, partial(self._ended, sha256))

    def _keep(self, sha256: str, image: QImage) -> None:
        self._held[sha256] = image
        self.ready.emit(sha256)

    def _ended(self, sha256: str) -> None:
        if sha256 not in self._held:
            self._asked.discard(sha256)  # stopped, or not to be read: asked for again when it is wanted again
        self._make_next()


def file_name(sha256: str) -> str:
    """Under which a photo's small picture is kept in the folder."""
    return f"{sha256[:40]}.png"


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
    part = kept.with_stem(f"{kept.stem}-part")
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        if image.save(str(part), quality=_PNG_QUALITY):
            os.replace(part, kept)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _nothing(_: str) -> None:
    """A photo that cannot be shown small says so when it is hung."""
