"""A pytest plugin under which PySide6 cannot be imported: what passes here needs no window."""

import sys
from importlib.abc import MetaPathFinder
from typing import Any


class _NoQt(MetaPathFinder):
    def find_spec(self, fullname: str, path: Any, target: Any = None) -> None:
        if fullname.partition(".")[0] in {"PySide6", "shiboken6"}:
            raise ModuleNotFoundError(f"{fullname} is kept out of these tests", name=fullname)


sys.meta_path.insert(0, _NoQt())


def pytest_addoption(parser: Any) -> None:
    """The Qt plugin stays out too; its settings in pyproject.toml still have to be known."""
    for name in ("qt_api", "qt_log_level_fail"):
        parser.addini(name, "of the Qt plugin, unused here")
