"""What hangs on the wall and how it is looked at: plain values that know nothing of the window.

Every change gives a new ``View``; it is kept with the painting, so that a painting opens as it was left.
"""

from dataclasses import asdict, dataclass, field, fields, replace
from enum import StrEnum
from typing import Any

from app.edges.settings import EdgeView
from app.mixing.settings import MixView
from app.sittings.settings import SittingView
from app.temperatures.settings import Temperatures
from app.values.settings import Values
from core.drawing.squaring import Squaring

MOST_HANGINGS = 3
SQUINTS_MM = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0)
FEWEST_STEPS, MOST_STEPS = 2, 10
WEIGHTS_MM = (0.3, 0.5, 0.8, 1.2, 2.0)


class Subject(StrEnum):
    """Which picture hangs."""

    REFERENCE = "reference"
    CANVAS = "canvas"


class Look(StrEnum):
    """How a picture is shown. The differences are of both pictures, and hang as looks of the canvas; the underpainting
    is of the reference, and so are the edge plan and what is ``seen`` by the eye. ``warmth``: against the surround;
    ``lean``: near-neutrals drawn apart."""

    COLOUR = "colour"
    GREY = "grey"
    STEPS = "steps"
    DIFFERENCE = "difference"
    UNDERPAINTING = "underpainting"
    WARMTH = "warmth"
    LEAN = "lean"
    FAMILIES = "families"
    WARMTH_DIFFERENCE = "warmth difference"
    EDGE_PLAN = "edge plan"
    SEEN = "seen"


COMPARED = frozenset({Look.DIFFERENCE, Look.WARMTH_DIFFERENCE})
"""Looks that a check makes."""
EDGE_LOOKS = frozenset({Look.EDGE_PLAN, Look.SEEN})


class Question(StrEnum):
    """The panel that is open beside the wall."""

    DRAWING = "drawing"
    VALUE = "value"
    EDGE = "edge"
    TEMPERATURE = "temperature"
    MIX = "mix"
    MEND = "mend"
    SITTINGS = "sittings"


PANELS = {
    Question.DRAWING: "Drawing",
    Question.VALUE: "Value",
    Question.EDGE: "Edge",
    Question.TEMPERATURE: "Temperature",
    Question.MIX: "Mix",
    Question.MEND: "To mend",
    Question.SITTINGS: "Sittings",
}
"""The panels in their order, each with the word on its button."""
ONLY_OF = dict.fromkeys((Look.UNDERPAINTING, *EDGE_LOOKS), Subject.REFERENCE) | dict.fromkeys(COMPARED, Subject.CANVAS)
"""Looks that only one of the two subjects has."""


@dataclass(frozen=True)
class Hung:
    """One place on the wall."""

    subject: Subject = Subject.REFERENCE
    look: Look = Look.COLOUR
    acetate: bool = False


@dataclass(frozen=True)
class AcetateStyle:
    """How the line drawing is drawn over a picture. ``strength`` 0-1; ``weight_mm`` on the canvas."""

    strength: float = 0.9
    colour: str = "black"
    weight_mm: float = 0.5
    landmarks: bool = True


ACETATE_COLOURS = ("black", "white", "vermilion", "blue", "yellow")
_FILLING = (
    Hung(Subject.REFERENCE, Look.COLOUR),
    Hung(Subject.CANVAS, Look.COLOUR),
    Hung(Subject.REFERENCE, Look.GREY),
    Hung(Subject.CANVAS, Look.GREY),
)


_GREY_PAIR = ((Subject.REFERENCE, Look.GREY), (Subject.CANVAS, Look.GREY))


@dataclass(frozen=True)
class View:
    """The whole state of the wall beside the painting itself."""

    hung: tuple[Hung, ...] = (Hung(Subject.REFERENCE), Hung(Subject.REFERENCE, Look.GREY))
    selected: int = 0
    canvas_photo: int | None = None
    as_shot: bool = False
    light_out: bool = True
    steps: int = 5
    squint: bool = False
    squint_mm: float = 4.0
    acetate: AcetateStyle = AcetateStyle()
    arrows: bool = True
    areas: bool = True
    question: Question | None = Question.VALUE
    ledge: bool = True
    grid: bool = False
    squaring: Squaring = field(default_factory=Squaring)
    plumb: bool = False
    values: Values = field(default_factory=Values)
    temperatures: Temperatures = field(default_factory=Temperatures)
    edges: EdgeView = field(default_factory=EdgeView)
    mixing: MixView = field(default_factory=MixView)
    sittings: SittingView = field(default_factory=SittingView)
    numbers_at_pointer: bool = False

    @property
    def chosen(self) -> Hung:
        """The hanging that the looks and the acetate act on."""
        return self.hung[self.selected]

    @property
    def shows_canvas(self) -> bool:
        return any(each.subject is Subject.CANVAS for each in self.hung)

    def select(self, index: int) -> "View":
        return replace(self, selected=min(max(index, 0), len(self.hung) - 1))

    def with_chosen(self, hung: Hung) -> "View":
        return replace(self, hung=(*self.hung[: self.selected], hung, *self.hung[self.selected + 1 :]))

    def with_count(self, count: int) -> "View":
        """One to three hangings; a new place gets the first picture that does not hang yet."""
        count = min(max(count, 1), MOST_HANGINGS)
        hung = self.hung[:count] if count >= len(self.hung) else self._kept(count)
        while len(hung) < count:
            hung += (next((each for each in self._filling() if not _hangs(each, hung)), _FILLING[0]),)
        return replace(self, hung=hung, selected=min(self.selected, count - 1))

    def toggle_look(self, look: Look) -> "View":
        """Show the chosen hanging in this look, or in colour again. The difference hangs in the canvas's place, the
        underpainting in the reference's."""
        if self.chosen.look is look:
            return self.with_chosen(replace(self.chosen, look=Look.COLOUR))
        subject = ONLY_OF.get(look, self.chosen.subject)
        return self.with_chosen(replace(self.chosen, look=look, subject=subject))

    def show_subject(self, subject: Subject) -> "View":
        look = self.chosen.look if ONLY_OF.get(self.chosen.look, subject) is subject else Look.COLOUR
        return self.with_chosen(replace(self.chosen, subject=subject, look=look))

    @property
    def is_grey_pair(self) -> bool:
        return [(each.subject, each.look) for each in self.hung] == list(_GREY_PAIR)

    def toggle_grey_pair(self) -> "View":
        """Reference and canvas side by side, both in grey, with their values at the pointer; and in colour again."""
        look = Look.COLOUR if self.is_grey_pair else Look.GREY
        acetate = {each.subject: each.acetate for each in self.hung}
        pair = tuple(Hung(subject, look, acetate.get(subject, False)) for subject, _ in _GREY_PAIR)
        return replace(self, hung=pair, selected=min(self.selected, 1), numbers_at_pointer=look is Look.GREY)

    def toggle_acetate(self) -> "View":
        return self.with_chosen(replace(self.chosen, acetate=not self.chosen.acetate))

    def hang_canvas_photo(self, canvas_photo: int) -> "View":
        """Hang this canvas photo: where one hangs already, else in the last place, else beside the only picture."""
        view = replace(self, canvas_photo=canvas_photo)
        if view.shows_canvas:
            return view
        canvas = Hung(Subject.CANVAS, acetate=view.hung[-1].acetate)
        if len(view.hung) == 1:
            return replace(view, hung=(*view.hung, canvas), selected=1)
        return replace(view, hung=(*view.hung[:-1], canvas), selected=len(view.hung) - 1)

    def without_canvas(self) -> "View":
        """Nothing of the canvas can hang: every place shows the reference."""
        plain = tuple(
            replace(each, subject=Subject.REFERENCE, look=Look.GREY if each.look in COMPARED else each.look)
            for each in self.hung
        )
        return replace(self, hung=plain, canvas_photo=None)

    def steps_by(self, by: int) -> "View":
        """More or fewer value steps; the chosen picture is then shown in them."""
        look = self.chosen.look if self.chosen.look in COMPARED else Look.STEPS
        view = self.with_chosen(replace(self.chosen, look=look))
        count = min(max(self.steps + by, FEWEST_STEPS), MOST_STEPS)
        return replace(view, steps=count, values=self.values.for_count(count))

    def step_alone(self, by: int) -> "View":
        """Show one value step alone, the next darker (-1) or lighter (+1) one; with 0 all of them, or one, again."""
        if by:
            values = self.values.walked(by, self.steps)
        else:
            values = replace(self.values, alone=0 if self.values.alone is None else None)
        look = self.chosen.look if any(each.look is Look.STEPS for each in self.hung) else Look.STEPS
        return replace(self.with_chosen(replace(self.chosen, look=look)), values=values)

    def squint_by(self, steps: int) -> "View":
        """Squint harder or less."""
        nearest = min(range(len(SQUINTS_MM)), key=lambda i: abs(SQUINTS_MM[i] - self.squint_mm))
        index = min(max(nearest + steps, 0), len(SQUINTS_MM) - 1)
        return replace(self, squint=True, squint_mm=SQUINTS_MM[index])

    def open_question(self, question: Question) -> "View":
        """Open a panel, or close it when it is the one that is open."""
        return replace(self, question=None if self.question is question else question)

    def to_json(self) -> dict[str, Any]:
        return {
            "hung": [[each.subject, each.look, each.acetate] for each in self.hung],
            "selected": self.selected,
            "canvas_photo": self.canvas_photo,
            "as_shot": self.as_shot,
            "light_out": self.light_out,
            "steps": self.steps,
            "squint": self.squint,
            "squint_mm": self.squint_mm,
            "acetate": [
                self.acetate.strength, self.acetate.colour, self.acetate.weight_mm, self.acetate.landmarks,
            ],
            "arrows": self.arrows,
            "areas": self.areas,
            "question": self.question,
            "ledge": self.ledge,
            "grid": self.grid,
            "squaring": asdict(self.squaring),
            "plumb": self.plumb,
            "values": self.values.to_json(),
            "temperatures": self.temperatures.to_json(),
            "edges": self.edges.to_json(),
            "mixing": self.mixing.to_json(),
            "sittings": self.sittings.to_json(),
            "numbers_at_pointer": self.numbers_at_pointer,
        }  # fmt: skip

    @classmethod
    def from_json(cls, data: Any, steps: int = 5) -> "View":
        """The view that was kept; what cannot be read is as for a new painting, seen in so many ``steps``."""
        try:
            return cls._read(data)
        except (KeyError, TypeError, ValueError, IndexError):
            return cls(steps=steps)

    @classmethod
    def _read(cls, data: dict[str, Any]) -> "View":
        hung = tuple(Hung(Subject(s), Look(look), bool(a)) for s, look, a in data["hung"])[:MOST_HANGINGS]
        strength, colour, weight, landmarks = data["acetate"]
        if not hung or colour not in ACETATE_COLOURS:
            raise ValueError
        photo, question = data["canvas_photo"], data["question"]
        steps = min(max(int(data["steps"]), FEWEST_STEPS), MOST_STEPS)
        return cls(
            hung=hung,
            canvas_photo=None if photo is None else int(photo),
            as_shot=bool(data["as_shot"]),
            light_out=bool(data.get("light_out", True)),
            steps=steps,
            squint=bool(data["squint"]),
            squint_mm=min(max(float(data["squint_mm"]), SQUINTS_MM[0]), SQUINTS_MM[-1]),
            acetate=AcetateStyle(min(max(float(strength), 0.1), 1.0), colour, float(weight), bool(landmarks)),
            arrows=bool(data["arrows"]),
            areas=bool(data["areas"]),
            question=None if question is None else Question(question),
            ledge=bool(data["ledge"]),
            grid=bool(data.get("grid", False)),
            squaring=_read_squaring(data.get("squaring", {})),
            plumb=bool(data.get("plumb", False)),
            values=Values.from_json(data.get("values"), steps),
            temperatures=Temperatures.from_json(data.get("temperatures")),
            edges=EdgeView.from_json(data.get("edges")),
            mixing=MixView.from_json(data.get("mixing")),
            sittings=SittingView.from_json(data.get("sittings")),
            numbers_at_pointer=bool(data.get("numbers_at_pointer", False)),
        ).select(int(data["selected"]))

    def _kept(self, count: int) -> tuple[Hung, ...]:
        """Fewer places: the chosen picture stays."""
        first = self.hung[:count]
        return first if self.selected < count else (*first[:-1], self.chosen)

    def _filling(self) -> tuple[Hung, ...]:
        usable = [each for each in _FILLING if each.subject is Subject.REFERENCE or self.canvas_photo is not None]
        return (*usable, Hung(Subject.REFERENCE, Look.STEPS))


def _read_squaring(data: Any) -> Squaring:
    """A grid as it was kept; what is not there is as usual. Raises TypeError or ValueError when it is none."""
    if not isinstance(data, dict):
        raise TypeError("a grid is kept as a table of its parts")
    usual = Squaring()
    found: dict[str, Any] = {
        each.name: type(getattr(usual, each.name))(data.get(each.name, getattr(usual, each.name)))
        for each in fields(Squaring)
        if each.name != "cell_mm"
    }
    cell_mm = data.get("cell_mm")
    return Squaring(**found, cell_mm=None if cell_mm is None else max(float(cell_mm), 1.0))


def _hangs(wanted: Hung, hung: tuple[Hung, ...]) -> bool:
    return any((each.subject, each.look) == (wanted.subject, wanted.look) for each in hung)
