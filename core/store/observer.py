"""Telling whoever listens that the painting has changed, without any window library."""

import weakref
from collections.abc import Callable
from dataclasses import dataclass
from types import MethodType
from typing import Literal


@dataclass(frozen=True)
class Change:
    """What was just saved.

    ``parts``: the parts of the painting that are different now, any of ``painting``, ``photo``, ``reference``,
    ``canvas_photo``, ``drawing``, ``plan``, ``setting``, ``check_result``, ``photo_rating``,
    ``notice``.
    ``label``: the step's name when it is one that can be undone, else an empty string.
    """

    parts: frozenset[str]
    label: str = ""
    how: Literal["made", "undone", "redone"] = "made"


Listener = Callable[[Change], object]


class Signal:
    """Listeners called in the order they were connected, after the change is safe on disk.

    A bound method is held weakly, so that listening never keeps a closed view alive; a plain function is kept.
    """

    def __init__(self) -> None:
        self._listeners: list[Callable[[], Listener | None]] = []

    def connect(self, listener: Listener) -> None:
        if isinstance(listener, MethodType):
            self._listeners.append(weakref.WeakMethod(listener))
        else:
            self._listeners.append(lambda: listener)

    def disconnect(self, listener: Listener) -> None:
        self._listeners = [held for held in self._listeners if held() not in (None, listener)]

    def emit(self, change: Change) -> None:
        self._listeners = [held for held in self._listeners if held() is not None]
        for held in tuple(self._listeners):
            listener = held()
            if listener is not None:
                listener(change)
