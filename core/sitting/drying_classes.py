"""How fast a pigment lets oil dry: fast (about two days), medium (about five), slow (more), by Colour Index name.

The classes hold for a thin film in linseed oil at 20 °C, dry to the touch. Those of the umbers, raw sienna, lead
whites, cobalt and Prussian blues (fast), of the ochres, burnt sienna, ultramarine, viridian, synthetic iron oxides,
titanium and zinc white and cadmiums (medium), and of alizarin, the quinacridones, arylides and carbon blacks (slow)
stand in artists' handbooks and in a paint maker's guide. Lead, cobalt and manganese hasten, zinc white and vermilion
hold back (Wehlte, Werkstoffe und Techniken der Malerei, 1975). All others are from memory, and say so. Sources differ
on blacks, zinc and cadmiums (medium or slow), and on some more from memory: these carry the other class too. Tubes of
one pigment differ as well, by their oil, their driers and the grind: the tube's maker decides.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

HANDBOOKS = "artists' handbooks and a paint maker's guide"
WEHLTE = "Wehlte, Werkstoffe und Techniken der Malerei, 1975"
MEMORY = "from memory"


class DryingClass(StrEnum):
    """The three classes of touch-drying, the fastest first."""

    FAST = "fast"
    MEDIUM = "medium"
    SLOW = "slow"

    @property
    def rank(self) -> int:
        """0 fast, 1 medium, 2 slow."""
        return tuple(DryingClass).index(self)


@dataclass(frozen=True)
class PigmentDrying:
    """``drying``: the class that is used. ``other``: what other sources, or other tubes of the pigment, have instead;
    None where they agree. ``source``: where the class stands."""

    drying: DryingClass
    source: str
    other: DryingClass | None = None

    def say(self) -> str:
        """Such as ``medium (artists' handbooks and a paint maker's guide); others have slow``."""
        return f"{self.drying} ({self.source})" + ("" if self.other is None else f"; others have {self.other}")


_FAST, _MEDIUM, _SLOW = DryingClass.FAST, DryingClass.MEDIUM, DryingClass.SLOW

_GROUPS: tuple[tuple[str, PigmentDrying], ...] = (
    # lead white, Prussian blue, cobalt blue
    ("PW1 PB27 PB28", PigmentDrying(_FAST, HANDBOOKS)),
    # umbers and raw sienna; a burnt sienna has the same name and is medium
    ("PBr7", PigmentDrying(_FAST, HANDBOOKS, _MEDIUM)),
    # cobalt: ceruleans, turquoises, greens, aureolin, violets
    ("PB35 PB36 PB72 PB74 PG19 PG26 PG50 PY40", PigmentDrying(_FAST, MEMORY)),
    ("PV14 PV49", PigmentDrying(_FAST, MEMORY, _MEDIUM)),
    # manganese
    ("PV16 PB33 PBr8 PBk14 PBk26 PBk28", PigmentDrying(_FAST, MEMORY)),
    # lead: Naples yellow, chrome yellow, orange and scarlet, red lead
    ("PY41 PY34 PO21 PR103 PR104 PR105", PigmentDrying(_FAST, MEMORY)),
    # ochres, red earths, synthetic iron oxides, viridian
    ("PY42 PY43 PR101 PR102 PBk11 PBr6 PG18", PigmentDrying(_MEDIUM, HANDBOOKS)),
    # titanium and zinc white, ultramarine, cadmiums
    ("PW6 PW4 PB29 PY35 PY37 PO20 PR108", PigmentDrying(_MEDIUM, HANDBOOKS, _SLOW)),
    # phthalocyanines, chromium oxide, ultramarine violets, titanates, bismuth yellow
    ("PB15 PB16 PG7 PG36 PG17 PV15 PY53 PBr24 PY184 PY216", PigmentDrying(_MEDIUM, MEMORY)),
    # green earth, lithopone, indanthrone
    ("PG23 PW5 PB60", PigmentDrying(_MEDIUM, MEMORY, _SLOW)),
    ("PR106", PigmentDrying(_SLOW, WEHLTE)),
    # alizarin, quinacridones, arylides
    ("PR83 PV19 PV42 PR122 PR202 PR206 PR207 PR209 PO48 PO49", PigmentDrying(_SLOW, HANDBOOKS)),
    ("PY1 PY3 PY65 PY73 PY74 PY97 PY98", PigmentDrying(_SLOW, HANDBOOKS)),
    # carbon blacks: lamp, carbon, vine, ivory
    ("PBk6 PBk7 PBk8 PBk9", PigmentDrying(_SLOW, HANDBOOKS, _MEDIUM)),
    # pyrroles, dioxazine, naphthols, anthraquinone, perylenes
    ("PR254 PR255 PR264 PO71 PO73 PV23 PV37", PigmentDrying(_SLOW, MEMORY)),
    ("PR3 PR5 PR9 PR112 PR170 PR188 PR177 PR149 PR178 PR179 PV29 PBk31", PigmentDrying(_SLOW, MEMORY)),
    # diarylides, benzimidazolones, isoindolinones, nickel azo
    ("PY83 PY110 PY129 PY139 PY150 PY151 PY154 PY175 PO36 PO62", PigmentDrying(_SLOW, MEMORY)),
    # madder, carmine, Cassel earth, graphite
    ("NR9 NR4 NBr8 PBk10", PigmentDrying(_SLOW, MEMORY)),
)

PIGMENTS: dict[str, PigmentDrying] = {name: told for names, told in _GROUPS for name in names.split()}
"""Every pigment that is known, by its Colour Index generic name."""

_BY_TUBE: tuple[tuple[str, PigmentDrying], ...] = (
    ("burnt sienna", PigmentDrying(_MEDIUM, HANDBOOKS)),
    ("raw sienna", PigmentDrying(_FAST, HANDBOOKS)),
    ("umber", PigmentDrying(_FAST, HANDBOOKS)),
)
"""Tubes that share PBr7, told apart by name."""
_WITHOUT_NAME: tuple[tuple[str, PigmentDrying], ...] = (("lead-tin yellow", PigmentDrying(_FAST, MEMORY)),)
_FOLDED = {name.lower(): told for name, told in PIGMENTS.items()}
_NAME = re.compile(r"\s*([pn](?:bk|br|[bgmorvwy]))[\s-]*(\d+)(?:[:.]\d+)?\b\s*(.*)", re.IGNORECASE)


def pigment_drying(ci_name: str, tube: str = "") -> PigmentDrying | None:
    """What is known of a pigment, such as ``PB15:3``, or None. The shade (after the colon) does not count.

    ``tube``: the tube's name, which tells the earths of PBr7 apart; it may also follow the Colour Index name, as in
    ``PBr7 burnt sienna``. A tube without a Colour Index name is found by its own.
    """
    found = _NAME.match(ci_name)
    key = f"{found[1]}{int(found[2])}".lower() if found else ""
    named = " ".join((tube or (found[3] if found else ci_name)).lower().split())
    among = _BY_TUBE if key == "pbr7" else () if found else _WITHOUT_NAME
    for part, told in among:
        if part in named:
            return told
    return _FOLDED.get(key)


def drying_class(ci_name: str, tube: str = "") -> DryingClass | None:
    """The class of a pigment by its Colour Index generic name, or None where it is not known."""
    told = pigment_drying(ci_name, tube)
    return None if told is None else told.drying
