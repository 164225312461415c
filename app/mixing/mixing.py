"""The mix panel as part of the desk: what its buttons and its actions do, and what lies over the reference."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.message import Offer
from app.mixing.jobs import MOST_BEYOND
from app.mixing.kept import MOST_MIXES, Mix, MixingList, keep_list
from app.mixing.own_jobs import read_swatches, write_card
from app.mixing.pages import ListOrder, StringOrder, write_list, write_string
from app.mixing.pointing import For, MixPointing
from app.mixing.reads import NO_REFERENCE
from app.mixing.words import first_up
from app.questions.mix import MixPanel
from app.saving import Saving
from app.studio import Studio
from app.view import Hung, Question, Subject
from app.wall.areas import NumberedArea, NumberedAreas
from app.wall.grasp import CanvasTool
from app.wall.hanging import Overlay
from app.wall.pin_marks import MarkedPin, PinMarks
from app.wall.wall_view import WallView
from core.errors import PainterError

LIST, STRING, CARD = "saving the mixing list", "saving the string", "saving the swatch card"
_READING = "The reference is still being read. Try again in a moment."
_LOOK_ONLY = "This painting is open only to look, so its mixing list stays as it is. Open it to work in it."
_MANY = f"{MOST_MIXES} mixes are on the list already: take some off first."


class Mixing(QObject):
    """``handlers`` are those of the desk's actions."""

    def __init__(
        self,
        studio: Studio,
        panel: MixPanel,
        wall: WallView,
        otherwise: CanvasTool,
        dialogs: Dialogs,
        say: Say,
        focus_wall: Callable[[], None],
        rest: Callable[[], None],
        desk: QWidget,
    ) -> None:
        super().__init__(desk)
        self._studio, self._panel, self._wall, self._say = studio, panel, wall, say
        self._dialogs, self._desk = dialogs, desk
        self._saving = Saving(studio.worker, dialogs, say, desk)
        self.pointing = MixPointing(studio, wall, otherwise, say, focus_wall, rest, self)
        self.pointing.pressed.connect(lambda x, y: self.mix((x, y)))
        self.pointing.changed.connect(lambda: panel.recipe.point.setChecked(self.pointing.at is For.PASSAGE))
        panel.recipe.point_wanted.connect(partial(self.pointing.toggle, For.PASSAGE))
        panel.recipe.step_wanted.connect(self.mix_step)
        panel.recipe.touch_wanted.connect(lambda way: studio.mixes.touch(way, say))
        panel.recipe.list_wanted.connect(self.put_on_list)
        for fold in (panel.laid_out, panel.own):
            fold.refused.connect(say)
        panel.laid_out.removed.connect(self._palette_removed)
        panel.own.card_wanted.connect(self.print_card)
        panel.own.photo_wanted.connect(self.read_card)
        panel.list.remove_wanted.connect(self.take_off)
        panel.list.remove_all_wanted.connect(self.take_all_off)
        panel.list.name_wanted.connect(self.name)
        panel.list.chosen_changed.connect(self._choose)
        panel.list.page_wanted.connect(self.print_list)
        panel.reach.chosen_changed.connect(studio.wall_changed)
        panel.string.page_wanted.connect(self.print_string)
        studio.laid_over.append(self.laid_over)

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"mix_at_pointer": self.mix_at_pointer}

    def leave(self) -> None:
        self.pointing.leave()

    def mix(self, at: tuple[float, float]) -> None:
        """Find mixes for the passage at a place on the reference, mm."""
        if not self._studio.mixes.read_passage(at):
            self._say(self._why_unread)

    def mix_step(self, step: int) -> None:
        """Find mixes for the mean of a value step, 1 the darkest."""
        if not self._studio.mixes.read_step(step):
            self._say(self._why_unread)

    @property
    def _why_unread(self) -> str:
        return NO_REFERENCE if self._studio.source(Subject.REFERENCE) is None else _READING

    def mix_at_pointer(self) -> None:
        """Mix what is under the pointer, else in the middle of what is seen; the panel shows it."""
        view, sight = self._studio.view, self._wall.sight
        self._studio.change_view(replace(view, question=Question.MIX))
        self._panel.recipe.open()
        self.pointing.press(self.pointing.pointer or (sight.x_mm, sight.y_mm))

    def put_on_list(self) -> None:
        """The mix in hand goes onto the mixing list."""
        reads = self._studio.mixes
        wanted, recipe = reads.wanted, reads.recipe()
        if wanted is None or recipe is None:
            return
        if len(reads.mixes.mixes) >= MOST_MIXES:
            self._say(_MANY)
            return
        mix = Mix(0, wanted.light, tuple(recipe.parts.items()), "", wanted.at, wanted.span_mm, wanted.step)
        if any(replace(each, number=0, name="") == mix for each in reads.mixes.mixes):
            self._say("This mix is on the list already.", passing=True)
        elif self._keep(reads.mixes.added(mix), "put a mix on the list"):
            self._panel.list.open()

    def take_off(self, number: int) -> None:
        if self._keep(self._studio.mixes.mixes.without(number), "took a mix off the list"):
            self._wall.clear_place()

    def take_all_off(self) -> None:
        if self._keep(MixingList(), "took all mixes off the list"):
            self._wall.clear_place()

    def name(self, number: int, name: str) -> None:
        mixes = self._studio.mixes.mixes
        if mixes.named(number, name) != mixes:
            self._keep(mixes.named(number, name), "named a mix")

    def print_list(self) -> None:
        """Write the page of the mixing list."""
        studio, title = self._studio, self._studio.painting.title
        path = self._saving.ask("mixing list", title)
        if path is not None:
            order = ListOrder(studio.mixes.mixes.mixes, studio.mixes.box.held, studio.view.mixing.paper, title)
            self._saving.write(LIST, path, partial(write_list, order))

    def print_string(self) -> None:
        """Write the page of the string."""
        studio, title = self._studio, self._studio.painting.title
        strings = studio.mixes.strings()
        path = None if strings is None else self._saving.ask("string", title)
        if path is not None and strings is not None:
            order = StringOrder(strings, studio.mixes.box.held, studio.view.mixing.paper, title)
            self._saving.write(STRING, path, partial(write_string, order))

    def _palette_removed(self, palette: object) -> None:
        box = self._studio.mixes.box
        put_back = Offer("Put it back", lambda: box.keep(box.held.with_palette(palette)))  # type: ignore[arg-type]
        self._say("The palette is taken away, for all paintings.", put_back)

    def print_card(self, tube: str, white: str) -> None:
        """Write the card to paint a tube on."""
        paper = self._studio.view.mixing.paper
        path = self._saving.ask("swatch card", first_up(tube))
        if path is not None:
            self._saving.write(CARD, path, partial(write_card, tube, white, paper))

    def read_card(self) -> None:
        """Ask for a photo of the painted card, and read it."""
        fold = self._panel.own
        file = self._dialogs.choose_photo(self._desk, "Photo of the painted card")
        if file is None:
            return
        try:
            order = fold.order(file)
        except PainterError as trouble:
            self._say(str(trouble))
            return
        fold.show_read(None)
        self._studio.worker.run("mix: card", partial(read_swatches, order), fold.show_read, self._say)

    def laid_over(self, hung: Hung) -> Sequence[Overlay]:
        """Over the reference while the panel is open: what is on the list, what is in hand, what is beyond reach."""
        view = self._studio.view
        if view.question is not Question.MIX or hung.subject is not Subject.REFERENCE:
            return []
        pins = self._pins()
        return [*self._beyond(), *([PinMarks(pins)] if pins else [])]

    def _pins(self) -> tuple[MarkedPin, ...]:
        reads = self._studio.mixes
        shown = reads.mixes.mixes if self._studio.view.mixing.pins else ()
        chosen = self._panel.list.chosen
        found = [
            MarkedPin(mix.number, mix.at, mix.span_mm / 2, mix.number == chosen, mix.name)
            for mix in shown
            if mix.at is not None
        ]
        wanted = reads.wanted
        if wanted is not None and wanted.at is not None and wanted.at not in [mix.at for mix in shown]:
            found.append(MarkedPin("mix", wanted.at, wanted.span_mm / 2))
        return tuple(found)

    def _beyond(self) -> list[Overlay]:
        chosen = self._panel.reach.chosen
        if not (self._studio.view.mixing.unreached or chosen is not None):
            return []
        found = self._studio.mixes.reach()
        passages = () if found is None else found.beyond.passages[:MOST_BEYOND]
        areas = tuple(
            NumberedArea(str(each.number), (each.outline_mm,), label_at=(each.x_mm, each.y_mm)) for each in passages
        )
        return [NumberedAreas(areas, None if chosen is None else str(chosen))] if areas else []

    def _choose(self) -> None:
        """What is chosen on the list is in hand again."""
        number = self._panel.list.chosen
        mix = None if number is None else self._studio.mixes.mixes.mix(number)
        if mix is not None:
            self._studio.mixes.want_kept(mix)
        else:
            self._wall.clear_place()
            self._studio.wall_changed.emit()

    def _keep(self, mixes: MixingList, label: str) -> bool:
        """Keep another list, as a step that can be undone; when that cannot be done it is said."""
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
            return False
        try:
            keep_list(self._studio.painting, mixes, label)
        except PainterError as trouble:
            self._say(str(trouble))
            return False
        return True
