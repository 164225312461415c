"""What is to be mixed, and what has been found for it: worked out away from the window, and kept."""

from collections.abc import Callable, Hashable
from functools import partial
from typing import TYPE_CHECKING

from app.mixing import jobs
from app.mixing.box import Box
from app.mixing.jobs import Found, Named, Reach, Strings, Wanted
from app.mixing.kept import Mix, MixingList, Parts, kept_list
from app.mixing.settings import MixView
from app.prints import Sheet
from app.reads import Reads
from app.values.looks import KeyedKey, keyed_key
from app.view import Subject
from app.work import Progress

if TYPE_CHECKING:
    from app.studio import Studio
    from core.paint.palette import Palette
    from core.paint.recipe import Recipe
    from core.paint.recipe_reach import Beyond
    from core.paint.recipe_touch import Way
    from core.paint.tubes import Tube

_READ, _TOUCH = "mix: read", "mix: touch"
NO_REFERENCE = "This painting has lost its reference: choose the photograph it is painted from."


class MixReads(Reads):
    """``wanted``: what is to be mixed, or None. ``parts``: of the mix in hand, None for the best that was found."""

    def __init__(self, studio: "Studio") -> None:
        super().__init__(studio, "mix")
        self.box = Box(self)
        self.box.said.connect(studio.said)
        self.box.changed.connect(self._box_changed)
        self.mixes: MixingList = kept_list(studio.painting)
        self.wanted: Wanted | None = None
        self.parts: Parts | None = None
        self._parts_of: Hashable = None
        self._read_of: Hashable = None
        self._recipes_key: Hashable = None
        self._string_key: Hashable = None
        studio.history_changed.connect(self._read_kept)
        studio.view_changed.connect(self.read_again)

    @property
    def settings(self) -> MixView:
        return self._studio.view.mixing

    @property
    def palette(self) -> "Palette":
        """The one that is laid out."""
        palettes = self.box.held.palettes
        return next((each for each in palettes if each.name == self.settings.palette), palettes[0])

    @property
    def tubes(self) -> "dict[str, Tube]":
        """Those on it, by name."""
        return self.palette.held(self.box.held.tubes)

    def sheet(self) -> Sheet | None:
        """The reference as it is read from."""
        source = self._studio.source(Subject.REFERENCE)
        return None if source is None or not source.can_lie_flat else self._sheet(source)

    def want(self, wanted: Wanted, parts: Parts | None = None) -> None:
        """Mix this; with ``parts`` a mix of it that was kept."""
        self._studio.worker.cancel(_TOUCH)
        self.wanted, self.parts, self._parts_of = wanted, parts, self._looked_among
        self.changed.emit()

    def want_kept(self, mix: Mix) -> None:
        """Take a mix of the list in hand again, as it was kept."""
        self._studio.worker.cancel(_READ)
        self._read_of = None
        self.want(Wanted(mix.light, mix.at, mix.span_mm, mix.step), mix.parts)

    def take(self, parts: Parts) -> None:
        """Go on from another mix for the same colour."""
        self.parts, self._parts_of = parts, self._looked_among
        self.changed.emit()

    def read_passage(self, at: tuple[float, float], span_mm: float | None = None) -> bool:
        """Begin to mix the passage at a place; False while the picture is not there."""
        sheet = self.sheet()
        if sheet is None:
            return False
        self._read(partial(jobs.read_passage, sheet, self._keyed, at, span_mm or self.settings.span_mm))
        return True

    def read_step(self, step: int) -> bool:
        """Begin to mix the mean of a value step; False while it is not there."""
        sheet, boundaries = self.sheet(), self._studio.values.boundaries()
        if sheet is None or boundaries is None:
            return False
        self._read(partial(jobs.read_step, sheet, self._keyed, boundaries, step))
        return True

    def read_again(self) -> None:
        """What was read just now is read anew, when the reference has been keyed or changed meanwhile."""
        wanted = self.wanted
        if wanted is None or self._read_of is None or self._read_of == self._reference:
            return
        if wanted.at is not None:
            self.read_passage(wanted.at, wanted.span_mm)
        elif wanted.step is not None:
            self.read_step(wanted.step)

    def found(self) -> Found | None:
        """Mixes for what is wanted; None while there are none."""
        wanted, tubes = self.wanted, self.tubes
        if wanted is None:
            return None
        most = self.settings.tubes, self.settings.parts
        key: Hashable = ("recipes", wanted.light, self._laid_out, most)
        self._recipes_key = key
        return self._ask("recipes", key, partial(jobs.find_recipes, wanted, tubes, most))

    def beyond(self) -> "Beyond | None":
        """What would reach the colour, where no mix does; None where one does, and while that is being found."""
        found, wanted, tubes = self.found(), self.wanted, self.tubes
        if found is None or wanted is None or found.is_reached:
            return None
        most = self.settings.tubes, self.settings.parts
        others = {name: tube for name, tube in self.box.held.tubes.items() if name not in tubes}
        key: Hashable = ("beyond", wanted.light, self._laid_out, most)
        return self._ask("beyond", key, partial(jobs.find_beyond, found, tubes, others, most))

    def recipe(self) -> "Recipe | None":
        """The mix in hand; None while there is none. A kept one may be of tubes that are not on the palette."""
        if self.wanted is None:
            return None
        if self.parts is None or self._parts_of != self._looked_among:
            found = self.found()
            return None if found is None else found.best
        if self.gone:
            return None
        from core.paint.recipe import recipe_of

        return recipe_of(self.wanted.target, dict(self.parts), self.box.held.tubes)

    @property
    def gone(self) -> tuple[str, ...]:
        """Tubes of the mix in hand that are no longer there."""
        if self.parts is None or self._parts_of != self._looked_among:
            return ()
        return tuple(name for name, _ in self.parts if name not in self.box.held.tubes)

    def names(self, recipe: "Recipe") -> Named | None:
        key: Hashable = ("names", recipe.lab, recipe.target.lab)
        return self._ask("names", key, partial(jobs.find_names, recipe))

    def touch(self, way: "Way", failed: Callable[[str], None]) -> None:
        """Mix anew, a touch warmer or the like; ``failed`` gets the sentence when the tubes cannot do it."""
        recipe = self.recipe()
        if recipe is None:
            return
        tubes = self.tubes | {name: self.box.held.tubes[name] for name in recipe.parts}
        most = self.settings.tubes, self.settings.parts
        work = partial(jobs.touch, recipe, way, tubes, most)
        self._studio.worker.run(_TOUCH, work, lambda parts: self.take(tuple(parts.items())), failed)

    def greys(self) -> tuple[str, str] | None:
        """White and black of the palette, that make plain greys; None where it lacks one."""
        held = self.box.held.tubes
        white, black = self.palette.white_among(held), self.palette.black_among(held)
        return (white, black) if white and black else None

    def string_ends(self) -> tuple[str, str]:
        """The tubes that carry a string up and down; empty where the palette has none."""
        palette, held, settings = self.palette, self.box.held.tubes, self.settings
        lighter = settings.lighter if settings.lighter in palette.tubes else palette.white_among(held) or ""
        darker = settings.darker if settings.darker in palette.tubes else palette.black_among(held) or ""
        return lighter, darker

    def strings(self) -> Strings | None:
        """The mix in hand through the values, or one string of each family; None while there is none."""
        return self._family_strings() if self.settings.families else self._string()

    def _string(self) -> Strings | None:
        recipe, settings = self.recipe(), self.settings
        if recipe is None:
            return None
        held, ends = self.box.held.tubes, self.string_ends()
        greys = self.greys() if settings.beside else None
        asked = ends, settings.steps, greys
        key: Hashable = ("string", tuple(recipe.parts.items()), asked, self.box.edition)
        work = partial(jobs.find_strings, dict(recipe.parts), held, *ends, settings.steps, greys)
        self._string_key = key
        return self._ask("string", key, work)

    def _family_strings(self) -> Strings | None:
        sheet, parted = self.sheet(), self._studio.warmths.families(Subject.REFERENCE)
        if sheet is None or parted is None:
            return None
        ends, most = self.string_ends(), (self.settings.tubes, self.settings.parts)
        if not all(ends):
            return None
        key: Hashable = ("families", id(parted), self._keyed, ends, most, self._laid_out)
        work = partial(jobs.find_families, sheet, self._keyed, parted.families, self.tubes, *ends, most)
        self._string_key = key
        return self._ask("families", key, work)

    @property
    def trouble(self) -> str:
        """Why no mix can be found for what is wanted; empty where none is wanted, or it can."""
        return "" if self.wanted is None else self._refused.get(self._recipes_key, "")

    @property
    def string_trouble(self) -> str:
        """Why the string that was asked for last cannot be made; empty where it can."""
        return self._refused.get(self._string_key, "")

    def reach(self) -> Reach | None:
        """What the palette reaches of the reference, and what not; None while that is being found."""
        sheet = self.sheet()
        key: Hashable = ("reach", self._studio.source(Subject.REFERENCE), self._keyed, self._laid_out)
        work = None if sheet is None else partial(jobs.find_reach, sheet, self._keyed, self.tubes)
        return self._ask("reach", key, work)

    @property
    def _keyed(self) -> KeyedKey | None:
        return keyed_key(self._studio.view.values)

    @property
    def _laid_out(self) -> Hashable:
        return self.palette.tubes, self.box.edition

    @property
    def _looked_among(self) -> Hashable:
        """What mixes are looked for among: those found for another palette are no longer in hand."""
        return self._laid_out, self.settings.tubes, self.settings.parts

    @property
    def _reference(self) -> Hashable:
        return self._studio.source(Subject.REFERENCE), self._keyed

    def _read(self, work: Callable[[Progress], Wanted]) -> None:
        self._studio.worker.cancel(_TOUCH)
        self._read_of = self._reference
        self._studio.worker.run(_READ, work, self.want, self._studio.said.emit)

    def _box_changed(self) -> None:
        self._refused.clear()
        self.changed.emit()

    def _read_kept(self) -> None:
        """The list may have been changed, undone or done again."""
        kept = kept_list(self._studio.painting)
        if kept != self.mixes:
            self.mixes = kept
            self.changed.emit()
