"""PySide6 6.12.0 on Python 3.11 gave back None without holding it; after some thousand calls the process aborted."""

import sys

from PySide6.QtCore import QObject


def test_calls_that_return_nothing_leave_none_alone() -> None:
    held = QObject()
    before = sys.getrefcount(None)
    for _ in range(2000):
        held.setObjectName("x")
    assert abs(sys.getrefcount(None) - before) < 200
