"""The screens there are, and which of them is the projector's."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtGui import QGuiApplication, QScreen

ONLY_ONE = (
    "Only one screen is connected: the projected picture will cover this one, and Esc takes it away again. "
    "To work on both, connect the projector and set it to extend the desktop, not to mirror it."
)
GONE = "The screen “{name}” that was used last is not connected; “{other}” is chosen instead."


@dataclass(frozen=True)
class ScreenPlace:
    """A screen by its name and where it stands: left and top on the desktop, width and height in its own pixels."""

    name: str
    left: int
    top: int
    width: int
    height: int
    is_first: bool = False

    @property
    def key(self) -> str:
        """How it is remembered."""
        return f"{self.name} @ {self.left},{self.top}"

    @property
    def says(self) -> str:
        return f"{self.name or 'Screen'} · {self.width} × {self.height}"


def screens() -> list[QScreen]:
    return list(QGuiApplication.screens())


def place_of(screen: QScreen) -> ScreenPlace:
    area, times = screen.geometry(), screen.devicePixelRatio()
    first = screen is QGuiApplication.primaryScreen()
    return ScreenPlace(
        screen.name(), area.left(), area.top(), round(area.width() * times), round(area.height() * times), first
    )


def remembered(places: Sequence[ScreenPlace], kept: str, own: int) -> tuple[int, str]:
    """Which screen to offer, and a sentence when it is not the one that was used last.

    ``kept``: the key of the one used last, or nothing. The same name in another place is still that screen, and
    another name in the same place stands in for it; failing both, the first screen that is not the window's ``own``.
    """
    if not places:
        return -1, ""
    other = next((index for index in range(len(places)) if index != own), own)
    if not kept:
        return other, ""
    name, _, at = kept.rpartition(" @ ")
    same_name = [index for index, place in enumerate(places) if place.name == name]
    same_place = [index for index, place in enumerate(places) if place.key.endswith(f" @ {at}") and index != own]
    exact = [index for index in same_name if index in same_place or places[index].key == kept]
    chosen = next(iter([*exact, *same_name, *same_place, other]))
    return chosen, "" if places[chosen].name == name else GONE.format(name=name, other=places[chosen].name)
