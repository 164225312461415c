"""What waits until a choice has settled: numbers that are typed, and buttons that are pressed again and again."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

SETTLE_MS = 250


def settling(parent: QObject, do: Callable[[], object]) -> QTimer:
    """A timer that does it a quarter of a second after it was last started."""
    timer = QTimer(parent)
    timer.setSingleShot(True)
    timer.setInterval(SETTLE_MS)
    timer.timeout.connect(do)
    return timer
