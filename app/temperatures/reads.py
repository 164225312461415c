"""What has been read of reference and canvas for the temperature question: found away from the window, and kept."""

from collections.abc import Hashable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from app.checks import Checked
from app.prints import Sheet, Source
from app.reads import Reads
from app.temperatures.jobs import (
    Neutral,
    Parted,
    balance_at,
    find_around,
    find_colour,
    find_families,
    pin_of,
    read_neutral,
)
from app.temperatures.kept import (
    Brushwork,
    NeutralPlace,
    Neutrals,
    Pins,
    kept_brushwork,
    kept_neutrals,
    kept_pins,
)
from app.temperatures.looks import WARM_LOOKS, Hidden, Warm, known
from app.view import Subject, View

if TYPE_CHECKING:
    from app.studio import Studio
    from core.temperature.around import Around
    from core.temperature.neutral import Balance
    from core.temperature.pins import Chain, Pin, Relation

_NO_REFERENCE = "This painting has lost its reference: choose the photograph it is painted from."
_NO_CANVAS = "No canvas photo hangs yet."
_NOT_FLAT = "Place the canvas’s corners first: warmth is read on the canvas laid flat."


@dataclass(frozen=True, eq=False)
class ReadPins:
    """``chain``: the pins from warm to cool; ``numbers``: theirs, in that order; ``unread``: of those that cannot be
    read here."""

    chain: "Chain"
    numbers: tuple[int, ...]
    unread: tuple[int, ...]

    @property
    def pins(self) -> "dict[int, Pin]":
        return dict(zip(self.numbers, self.chain.pins, strict=True))


class WarmthReads(Reads):
    """Of both pictures. The canvas is read with its light taken out once a check has done that and it is wanted."""

    def __init__(self, studio: "Studio") -> None:
        super().__init__(studio, "temperature")
        self.pins: Pins = kept_pins(studio.painting)
        self.neutrals: Neutrals = kept_neutrals(studio.painting)
        self.brushwork: Brushwork = kept_brushwork(studio.painting)
        self._hidden: Hidden | None = None
        self._seen: Checked | None = None
        self._chains: dict[Subject, tuple[Hashable, ReadPins]] = {}
        self._parted: dict[Subject, tuple[Source | None, Parted]] = {}
        studio.history_changed.connect(self._read_kept)

    def source(self, subject: Subject) -> Source | None:
        """The picture as it is read; None when it is not there or cannot lie flat."""
        source = self._studio.source(subject)
        if subject is Subject.CANVAS:
            source = self._studio.lit_canvas or source
        return source if source is not None and source.can_lie_flat else None

    def sheet(self, subject: Subject) -> Sheet | None:
        source = self.source(subject)
        return None if source is None else self._sheet(source)

    def why_not(self, subject: Subject) -> str:
        """Why nothing can be read of it; empty while nothing is wrong."""
        if self.source(subject) is None:
            if subject is Subject.REFERENCE:
                return _NO_REFERENCE
            return _NO_CANVAS if self._studio.source(subject) is None else _NOT_FLAT
        return self.colourless(subject)

    def colourless(self, subject: Subject) -> str:
        """That the picture has no colour, in a sentence; empty where it has, or that is not known yet."""
        sheet, of_reference = self.sheet(subject), subject is Subject.REFERENCE
        key = ("colour", self.source(subject))
        work = None if sheet is None else partial(find_colour, sheet, of_reference)
        return self._ask(f"colour {subject}", key, work) or ""

    def hidden(self, subject: Subject) -> Hidden | None:
        """What a check could not judge of the canvas, while its light is taken out."""
        checked = self._studio.checked
        if subject is Subject.REFERENCE or self._studio.lit_canvas is None or checked is None:
            return None
        if checked is not self._seen:
            self._seen, values = checked, checked.maps.get("value_canvas")
            mask = None if values is None else np.isnan(values)
            # A check that is only read again hides the same: nothing need be made anew.
            if mask is None or self._hidden is None or not np.array_equal(self._hidden.mask, mask):
                self._hidden = None if mask is None else Hidden(mask)
        return self._hidden

    def neutral_place(self, subject: Subject) -> NeutralPlace | None:
        """The neutral that was pointed at in a picture, while it lies as it did then."""
        source = self._studio.source(subject)
        place = None if source is None else self.neutrals.get(source.photo_id)
        return place if source is not None and place is not None and place.holds(source.corners) else None

    def neutral(self, subject: Subject) -> Neutral | None:
        """What was read there; None when there is none, or it is still being read."""
        place, source, plain = self.neutral_place(subject), self.source(subject), self._studio.source(subject)
        if place is None or source is None or plain is None:
            return None
        sheet, photographed = self._sheet(source), self._sheet(plain)
        work = None
        if sheet is not None and photographed is not None:
            work = partial(read_neutral, sheet, photographed, *place.at)
        return self._ask(f"neutral {subject}", ("neutral", source, plain, place), work)

    def can_balance(self, subject: Subject, at: tuple[float, float]) -> bool:
        """Whether a place can be a neutral, and has been read. Raises PainterError with a sentence when it is none."""
        source, plain = self.source(subject), self._studio.source(subject)
        sheets = [self._sheet(each) for each in (source, plain) if each is not None and each.can_lie_flat]
        read = [balance_at(sheet, *at) for sheet in sheets if sheet is not None]
        return bool(read) and len(read) == len(sheets)

    def own_balance(self, subject: Subject) -> "Balance | None":
        """The white balance that holds now, None where nothing is known of it: by the neutral that was pointed at, else
        for the canvas by the light that a check took out."""
        neutral = self.neutral(subject)
        if neutral is not None and neutral.balance is not None:
            return neutral.balance
        checked = self._studio.checked
        found = None if checked is None or self._studio.lit_canvas is None else checked.warmth
        if subject is Subject.REFERENCE or found is None or not found.balance_known:
            return None
        from core.temperature.neutral import BY_LIGHT

        return BY_LIGHT

    def balance(self, subject: Subject) -> "Balance":
        return known(self.own_balance(subject))

    def shown_by(self, view: View) -> dict[Subject, Warm]:
        """What the warmth of the pictures that hang is shown by; nothing while none hangs so."""
        shown = {hung.subject for hung in view.hung if hung.look in WARM_LOOKS}
        return {subject: self._warm(subject) for subject in shown}

    def _warm(self, subject: Subject) -> Warm:
        return Warm(self.own_balance(subject), self.hidden(subject), self.brushwork)

    def around(self, subject: Subject) -> "Around | None":
        sheet, balance, hidden = self.sheet(subject), self.own_balance(subject), self.hidden(subject)
        surround_mm = self._studio.view.temperatures.surround_mm
        key: Hashable = ("around", self.source(subject), balance, surround_mm, hidden)
        work = None if sheet is None else partial(find_around, sheet, balance, surround_mm, hidden)
        return self._ask(f"around {subject}", key, work)

    def families(self, subject: Subject) -> Parted | None:
        sheet = self.sheet(subject)
        key = self._warm(subject).families_key(self._studio.view.temperatures)
        work = None if sheet is None else partial(find_families, sheet, key)
        return self._ask(f"families {subject}", ("families", self.source(subject), key), work)

    def newest_families(self, subject: Subject) -> Parted | None:
        """The families, or while those are being found the ones before them of the same picture."""
        found, source = self.families(subject), self.source(subject)
        if found is not None:
            self._parted[subject] = source, found
        of, last = self._parted.get(subject, (None, None))
        return last if of is not None and of == source else None

    def pin(self, subject: Subject, x_mm: float, y_mm: float, name: str = "") -> "Pin | None":
        """What is read at a place; None where it cannot be, or is not there yet."""
        sheet = self.sheet(subject)
        if sheet is None:
            return None
        return pin_of(sheet, self.balance(subject), self.hidden(subject), x_mm, y_mm, name=name)

    def against_surround(self, subject: Subject, x_mm: float, y_mm: float) -> "tuple[Pin, Relation] | None":
        """A place, and how it is against what lies round it."""
        pin, around = self.pin(subject, x_mm, y_mm), self.around(subject)
        other = None if pin is None or around is None else around.pin(x_mm, y_mm)
        if pin is None or other is None:
            return None
        from core.temperature.pins import relation

        return pin, relation(pin, other, balance=self.balance(subject))

    def chain(self, subject: Subject) -> ReadPins:
        """The pins as they are read in one picture."""
        from core.temperature.pins import chain

        about = (self.sheet(subject), self.own_balance(subject), self.hidden(subject), self.pins)
        if subject in self._chains and self._chains[subject][0] == about:
            return self._chains[subject][1]
        names = self.pins.told()
        read = {each.number: self.pin(subject, *each.at, name=names[each.number]) for each in self.pins.places}
        found = chain((pin for pin in read.values() if pin is not None), balance=self.balance(subject))
        numbers = {id(pin): number for number, pin in read.items()}
        unread = tuple(number for number, pin in read.items() if pin is None)
        told = ReadPins(found, tuple(numbers[id(pin)] for pin in found.pins), unread)
        self._chains[subject] = about, told
        return told

    def _read_kept(self) -> None:
        """What is kept may have been changed, undone or done again."""
        painting = self._studio.painting
        kept = kept_pins(painting), kept_neutrals(painting), kept_brushwork(painting)
        if kept != (self.pins, self.neutrals, self.brushwork):
            self.pins, self.neutrals, self.brushwork = kept
            self.changed.emit()
