"""The place under the pointer: told in the panel that is open, and where that is wanted beside the pointer itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.studio import Studio
from app.view import Question, Subject
from app.wall.wall_view import WallView

Point = tuple[float, float]
Lines = tuple[str, ...]


@dataclass(frozen=True)
class Teller:
    """``show`` tells a point, mm, in the panel, or None when the pointer has left; ``write`` gives what stands beside
    the pointer there, by picture."""

    show: Callable[[Point | None], None]
    write: Callable[[float, float], Callable[[Subject], Lines]]


class Pointers:
    """``tellers``, by question; the one of ``usual`` writes while no other is open."""

    def __init__(
        self, studio: Studio, wall: WallView, tellers: dict[Question, Teller], usual: Question = Question.VALUE
    ) -> None:
        self._studio, self._tellers, self._usual = studio, tellers, usual
        wall.pointer_moved.connect(self._move)
        wall.pointer_left.connect(self._leave)
        wall.write_at_pointer(self.written)

    def written(self, x_mm: float, y_mm: float) -> Sequence[Lines]:
        """What stands beside the pointer, in each hanging its own."""
        view = self._studio.view
        if not view.numbers_at_pointer:
            return [()] * len(view.hung)
        teller = self._open or self._tellers[self._usual]
        write = teller.write(x_mm, y_mm)
        return [write(hung.subject) for hung in view.hung]

    @property
    def _open(self) -> Teller | None:
        question = self._studio.view.question
        return None if question is None else self._tellers.get(question)

    def _move(self, x_mm: float, y_mm: float, _which: int) -> None:
        teller = self._open
        if teller is not None:
            teller.show((x_mm, y_mm))

    def _leave(self) -> None:
        for teller in self._tellers.values():
            teller.show(None)
