"""The painter's own tubes and palettes, kept on this machine for every painting."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.errors import PainterError

if TYPE_CHECKING:
    from core.paint.paint_box import PaintBox


class Box(QObject):
    """``edition`` rises with every change. Until it is told where its file is, it holds what comes with the program,
    and a broken file leaves it so."""

    changed = Signal()
    said = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path: Path | None = None
        self._held: PaintBox | None = None
        self._broken = ""
        self.edition = 0

    @property
    def held(self) -> "PaintBox":
        """Read when it is first asked for: a painting that is opened does not wait for its tubes."""
        if self._held is None:
            from core.paint.paint_box import read_paint_box, start_box

            try:
                self._held = start_box() if self._path is None else read_paint_box(self._path)
            except PainterError as trouble:
                self._held, self._broken = start_box(), str(trouble)
                self.said.emit(self._broken)
        return self._held

    def open(self, path: Path) -> None:
        """Use what is kept in a file; what is wrong with it is said, and then nothing is written over it."""
        self._path, self._held, self._broken = path, None, ""
        self.edition += 1
        self.changed.emit()

    def keep(self, box: "PaintBox") -> bool:
        """Have another one, and write it down; what keeps that from being done is said, and the old one stays."""
        from core.paint.paint_box import write_paint_box

        if self.held is not None and self._broken:
            self.said.emit(self._broken)
            return False
        try:
            if self._path is not None:
                write_paint_box(self._path, box)
        except PainterError as trouble:
            self.said.emit(str(trouble))
            return False
        self._held = box
        self.edition += 1
        self.changed.emit()
        return True
