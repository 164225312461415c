"""What has been read of the reference for the value question: found away from the window, once, and kept."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from app.prints import Sheet
from app.reads import Reads
from app.values.jobs import (
    BeyondReach,
    Tones,
    Work,
    find_beyond,
    find_looks_lighter,
    find_marks,
    find_order,
    outline_of,
    read_tones,
)
from app.values.looks import KeyedKey, PlanKey, keyed_key, reach_of
from app.values.settings import Between
from app.view import Subject
from app.wall.value_marks import Outline

if TYPE_CHECKING:
    from app.studio import Studio
    from app.work import Progress
    from core.value.first_marks import FirstMark


class ValueReads(Reads):
    """Of the reference alone."""

    def __init__(self, studio: "Studio") -> None:
        super().__init__(studio, "values")

    @property
    def keyed(self) -> KeyedKey | None:
        """How the reference is keyed now."""
        return keyed_key(self._studio.view.values)

    def tones(self) -> Tones | None:
        keyed = self.keyed
        found: Tones | None = self._of_reference("tones", (keyed,), lambda sheet: partial(read_tones, sheet, keyed))
        return found

    def boundaries(self) -> tuple[float, ...] | None:
        """Munsell values between the steps of the plan; None while the best separation is being found."""
        view = self._studio.view
        if view.values.between is Between.HAND and len(view.values.own) == view.steps - 1:
            return view.values.own
        if view.values.between is Between.BEST:
            tones = self.tones()
            return None if tones is None else tones.best[view.steps]
        return tuple(10.0 * k / view.steps for k in range(1, view.steps))

    def plan(self) -> PlanKey | None:
        """All steps of the plan."""
        boundaries, values = self.boundaries(), self._studio.view.values
        if boundaries is None:
            return None
        return PlanKey(boundaries, values.between is Between.EQUAL, values.smallest_mm2)

    def marks(self) -> "tuple[FirstMark, ...] | None":
        keyed = self.keyed
        found: tuple[FirstMark, ...] | None = self._of_reference(
            "marks", (keyed,), lambda sheet: partial(find_marks, sheet, keyed)
        )
        return found

    def work(self) -> Work | None:
        """The order of work."""
        plan, marks = self.plan(), self.marks()
        if plan is None or marks is None:
            return None
        squint = self.squint_mm
        key = (self.keyed, plan, squint)
        found: Work | None = self._of_reference(
            "order", key, lambda sheet: partial(find_order, sheet, self.keyed, plan, squint, marks)
        )
        return found

    def outline(self, work: Work, region: int) -> Outline | None:
        """The outline of a region; None while it is being drawn."""
        return self._ask("outline", ("outline", work, region), partial(outline_of, work, region))

    def beyond(self) -> BeyondReach | None:
        reach = reach_of(self._studio.view.values)
        ends = (reach.darkest, reach.lightest)
        found: BeyondReach | None = self._of_reference("beyond", ends, lambda sheet: partial(find_beyond, sheet, *ends))
        return found

    def looks_lighter(self) -> tuple[str, str]:
        """In one line and at length; empty where it does not matter, or is not known yet."""
        found: tuple[str, str] | None = self._of_reference(
            "looks lighter", (), lambda sheet: partial(find_looks_lighter, sheet)
        )
        return found or ("", "")

    @property
    def squint_mm(self) -> float:
        view = self._studio.view
        return view.squint_mm if view.squint else 0.0

    def sheet(self) -> Sheet | None:
        """The reference as values are read from it; it is begun when it is not there."""
        source = self._studio.source(Subject.REFERENCE)
        return None if source is None else self._sheet(source)

    def why_not(self) -> str:
        """Why the first marks cannot be found; empty while nothing is wrong."""
        source = self._studio.source(Subject.REFERENCE)
        if source is None:
            return "This painting has lost its reference: choose the photograph it is painted from."
        return self._refused.get(("marks", source, self.keyed), "")

    def _of_reference(
        self, what: str, about: tuple[Any, ...], work: Callable[[Sheet], "Callable[[Progress], Any]"]
    ) -> Any:
        source = self._studio.source(Subject.REFERENCE)
        if source is None:
            return None
        key = (what, source, *about)
        if key in self._found:
            return self._ask(what, key, None)
        sheet = self._sheet(source)
        return None if sheet is None else self._ask(what, key, work(sheet))
