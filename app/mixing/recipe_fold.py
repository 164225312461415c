"""A passage of the reference, and the mix for it: side by side, with what it misses, and a touch this way or that."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QPushButton

from app.actions import KeyButton
from app.mixing.fold import MixFold
from app.mixing.settings import FEWEST_TUBES, MOST_TUBES, PARTS, SPANS_MM
from app.mixing.swatch_pair import Patch, SwatchPair
from app.mixing.words import APPROXIMATE, beyond_said, cautions_said, counted, first_up, missed, parts_said, steps_said
from app.questions.parts import Line, Lines, Stepper, button, flow, text
from app.stepping import can_step, stepped
from app.studio import Studio

_HOW = "Press on a passage of the reference, or take the mean of a value step, to see how it is mixed."
_LOOKING = "Looking for mixes…"
_GONE = "This mix is of {names}, which is no longer among your tubes. Press on the passage to mix it anew."


class RecipeFold(MixFold):
    """``point_wanted``: a passage is to be pressed on. ``step_wanted``: the mean of a value step, 1 the darkest.
    ``touch_wanted``: the way. ``list_wanted``: the mix is to be put on the mixing list."""

    point_wanted = Signal()
    step_wanted = Signal(int)
    touch_wanted = Signal(str)
    list_wanted = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Mix a passage")
        self.point = QPushButton("Press on a passage")
        self.point.setCheckable(True)
        self.point.clicked.connect(lambda _=False: self.point_wanted.emit())
        self.span, self.step = Stepper("width of the passage"), Stepper("value step")
        self.span.stepped.connect(lambda by: self.set_view(span_mm=stepped(SPANS_MM, self.settings.span_mm, by)))
        self._step = 1
        self.step.stepped.connect(self._turn_step)
        self.take_step = button("Mix this step", lambda: self.step_wanted.emit(self._step))
        self.says = text(_HOW)
        self.swatches = SwatchPair()
        self.parts, self.steps, self.miss, self.names = text("", "subheading"), text(), text(), text("", "note")
        self.of, self.beyond = text("", "note"), text(role="sentence")
        self.others = Lines()
        self.others.chosen.connect(self._choose)
        self.touches = {
            way: button(f"{way.capitalize()}", partial(self.touch_wanted.emit, way))
            for way in ("warmer", "cooler", "lighter", "darker", "duller", "stronger")
        }
        self.tubes, self.most_parts = Stepper("tubes in a mix"), Stepper("parts in a mix")
        self.tubes.stepped.connect(lambda by: self.set_view(tubes=self.settings.tubes + by))
        self.most_parts.stepped.connect(lambda by: self.set_view(parts=int(stepped(PARTS, self.settings.parts, by))))
        self.keep = button("Put on the mixing list", self.list_wanted.emit, "primary")
        self.cautions = text(role="sentence")
        self.others_said = text("Other mixes for it", "note")
        self._in_hand = (
            self.swatches, self.parts, self.steps, self.miss, self.of, self.names, self.beyond, text("A touch", "note"),
            flow(*self.touches.values()), flow(self.keep), self.cautions, self.others_said, self.others,
        )  # fmt: skip
        self.column.addWidget(flow(self.point, KeyButton.of(actions["mix_at_pointer"], "At the pointer")))
        settings = text("How it is read, and how many go into a mix", "note"), self.span, self.tubes, self.most_parts
        steps = text("Or the mean of a value step of the reference", "note"), self.step, flow(self.take_step)
        for part in (self.says, *self._in_hand, *settings, *steps, text(APPROXIMATE, "note")):
            self.column.addWidget(part)

    def show_now(self) -> None:
        settings = self.settings
        self.span.show_number(
            f"reads {settings.span_mm:g} mm across",
            can_less=can_step(SPANS_MM, settings.span_mm, -1),
            can_more=can_step(SPANS_MM, settings.span_mm, 1),
        )
        self._show_step()
        self.tubes.show_number(
            f"up to {settings.tubes} {'tube' if settings.tubes == 1 else 'tubes'}",
            can_less=settings.tubes > FEWEST_TUBES,
            can_more=settings.tubes < MOST_TUBES,
        )
        self.most_parts.show_number(
            f"up to {settings.parts} parts",
            can_less=can_step(PARTS, settings.parts, -1),
            can_more=can_step(PARTS, settings.parts, 1),
        )
        recipe = self.reads.recipe()
        for part in self._in_hand:
            part.setVisible(recipe is not None)
        self.says.setVisible(recipe is None)
        if recipe is None:
            self.says.setText(self._why_none())
        else:
            self._show_recipe()

    def _why_none(self) -> str:
        """What is said while no mix is shown."""
        reads = self.reads
        if reads.gone:
            return _GONE.format(names=" and ".join(reads.gone))
        return _HOW if reads.wanted is None else reads.trouble or _LOOKING

    def _show_recipe(self) -> None:
        reads = self.reads
        recipe, found, wanted = reads.recipe(), reads.found(), reads.wanted
        assert recipe is not None
        assert wanted is not None
        self.swatches.show_patches((Patch("wanted", wanted.light), Patch("mix", recipe.linear_rgb)))
        self.parts.setText(first_up(parts_said(recipe.parts)))
        self.steps.setText(steps_said(recipe.parts, reads.box.held.tubes))
        self.steps.setVisible(bool(self.steps.text()))
        self.miss.setText(missed(recipe))
        away = [name for name in recipe.parts if name not in reads.tubes]
        laid_out = f"From the palette “{reads.palette.name}”."
        self.of.setText(laid_out if not away else f"{first_up(', '.join(away))}: not on the palette that is laid out.")
        names = reads.names(recipe)
        self.names.setText(
            "Munsell, illuminant C: being looked up"
            if names is None
            else f"Munsell, illuminant C: wanted {names.wanted}; mix {names.mix}"
        )
        self._show_beyond()
        held = reads.box.held.tubes
        beyond = reads.beyond() if self.beyond.text() else None
        proposed = [] if beyond is None else [each.name for each in beyond.further]
        self.cautions.setText(cautions_said(held[name] for name in (*recipe.parts, *proposed)))
        self.cautions.setVisible(bool(self.cautions.text()))
        offered = () if found is None else found.offered
        parts = dict(recipe.parts)
        self.others.show_lines(
            [Line(len(each.parts), parts_said(each.parts), f"{missed(each)} · {counted(each)}") for each in offered]
        )
        self.others.mark(next((n for n, each in enumerate(offered) if dict(each.parts) == parts), None))
        several = len(offered) > 1 or (bool(offered) and dict(offered[0].parts) != parts)
        self.others.setVisible(several)
        self.others_said.setVisible(several)

    def _show_beyond(self) -> None:
        found = self.reads.found()
        recipe = self.reads.recipe()
        told = "" if found is None or recipe is None else beyond_said(found, self.reads.beyond(), recipe.parts)
        self.beyond.setText(told)
        self.beyond.setVisible(bool(told))

    def _show_step(self) -> None:
        count = self.studio.view.steps
        self._step = min(max(self._step, 1), count)
        self.step.show_number(
            f"step {self._step} of {count} (1 the darkest)", can_less=self._step > 1, can_more=self._step < count
        )

    def _turn_step(self, by: int) -> None:
        self._step += by
        self._show_step()

    def _choose(self, index: int) -> None:
        found = self.reads.found()
        if found is not None:
            self.reads.take(tuple(found.offered[index].parts.items()))
