"""How much oil a pigment takes to become paint: little, middling or much, by Colour Index name.

A paint of lead white holds about a ninth of oil by weight, one of ivory black more than half: of two layers with the
same medium, the one of thirsty pigments is the fatter. Oil in parts to 100 parts of pigment, by weight, as Pettenkofer
found it (Über Ölfarbe, 1870; from memory): lead white 12, zinc white 14, chromium oxide 15, chrome yellow 19,
vermilion 25, light red 31, madder lake 62, yellow ochre 66, manganese brown 87, green earth 100, Prussian blue 106,
ivory black 112, cobalt blue 125, burnt sienna 181, raw sienna 240. Up to 25 is little here and from 75 much (ours).
Makers' own figures (by ISO 787-5) are lower for the earths, and range widely with the grind, but keep the order. What
stands in no table is from memory, and what is not known is left out.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

PETTENKOFER = "Pettenkofer 1870, Über Ölfarbe, from memory"
MEMORY = "handbook practice, from memory"


class OilNeed(StrEnum):
    """The three classes, the leanest first."""

    LITTLE = "little oil"
    MIDDLING = "middling oil"
    MUCH = "much oil"

    @property
    def rank(self) -> int:
        """0 little, 1 middling, 2 much."""
        return tuple(OilNeed).index(self)


@dataclass(frozen=True)
class PigmentOil:
    """``need``: the class that is used. ``source``: where it stands."""

    need: OilNeed
    source: str


_GROUPS: tuple[tuple[str, OilNeed, str], ...] = (
    # lead and zinc white, chromium oxide, chrome yellow, vermilion
    ("PW1 PW4 PG17 PY34 PR106", OilNeed.LITTLE, PETTENKOFER),
    # titanium white, Naples yellow, chrome scarlet and orange, cadmiums
    ("PW6 PY41 PR104 PO21 PY35 PY37 PO20 PR108", OilNeed.LITTLE, MEMORY),
    # light red, ochre, madder
    ("PR101 PR102 PY43 PR83 NR9", OilNeed.MIDDLING, PETTENKOFER),
    # Mars yellow and black, ultramarine, phthalocyanines, quinacridones, arylides
    ("PY42 PBk11 PB29 PV15 PB15 PG7 PG36 PV19 PR122 PR206 PR209 PY3 PY74", OilNeed.MIDDLING, MEMORY),
    # siennas and umbers (as manganese brown), green earth, Prussian and cobalt blue, ivory black
    ("PBr7 PG23 PB27 PB28 PBk9", OilNeed.MUCH, PETTENKOFER),
    # lamp and carbon blacks, Cassel earth
    ("PBk6 PBk7 PBk8 NBr8", OilNeed.MUCH, MEMORY),
)
PIGMENTS: dict[str, PigmentOil] = {
    name: PigmentOil(need, source) for names, need, source in _GROUPS for name in names.split()
}
"""Every pigment that is known, by its Colour Index generic name."""
_FOLDED = {name.lower(): told for name, told in PIGMENTS.items()}
_NAME = re.compile(r"\s*([pn](?:bk|br|[bgmorvwy]))[\s-]*(\d+)(?:[:.]\d+)?\b", re.IGNORECASE)


def oil_need(ci_name: str) -> OilNeed | None:
    """The class of a pigment such as ``PW6`` or ``PB15:3``, whose shade does not count; None where it is not known."""
    found = _NAME.match(ci_name)
    told = _FOLDED.get(f"{found[1]}{int(found[2])}".lower()) if found else None
    return None if told is None else told.need
