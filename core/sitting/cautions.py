"""What to be careful of while painting in oil, where it applies: solvent and flames, rags, dusts, skin, waste.

Each caution stands at its place (the medium, the tubes, a thick or sanded layer, cleaning up, varnish, the studio) and
names where it comes from. That of a pigment is :mod:`core.pigment_cautions`'. None of them is a verdict on a product:
``DEFER`` goes with them wherever they are shown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.pigment_cautions import DUST_CAUTION, PigmentCaution, pigment_cautions
from core.sitting.layer import Layer, Medium, Thickness

DEFER = (
    "These are reminders, and not complete. The label, the safety data sheet and the rules where you live come first."
)
MEMORY, PRACTICE = "from memory", "common practice, no source"


class Place(StrEnum):
    """Where a caution is shown, in the order in which they are printed."""

    MEDIUM = "medium"
    CLEANING = "cleaning up"
    TUBES = "tubes"
    LAYER = "layer"
    VARNISH = "varnish"
    STUDIO = "studio"


@dataclass(frozen=True)
class Caution:
    """``key``: by which it is known. ``title``: a word or two. ``say``: one or two sentences. ``when``: when it
    applies, in words. ``tubes``: the names of those it is of."""

    key: str
    place: Place
    title: str
    say: str
    when: str
    source: str
    tubes: tuple[str, ...] = ()

    @property
    def line(self) -> str:
        """What is shown: the sentences, after the names of the tubes that they are of."""
        if not self.tubes:
            return self.say
        return f"{_capital(', '.join(self.tubes))}: {self.say[:1].lower()}{self.say[1:]}"


@dataclass(frozen=True)
class Work:
    """What is done, as far as it asks for care. ``tubes``: name and Colour Index generic names of each tube.

    ``cleaning``: brushes and palette are cleaned, as after every sitting. ``sanding``: a ground or a dry layer is
    rubbed down. ``varnishing``: it is varnished.
    """

    mediums: tuple[Medium, ...] = ()
    tubes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    thicknesses: tuple[Thickness, ...] = ()
    cleaning: bool = True
    sanding: bool = False
    varnishing: bool = False

    @classmethod
    def of_layers(
        cls,
        layers: Iterable[Layer],
        tubes: Sequence[tuple[str, tuple[str, ...]]] = (),
        *,
        cleaning: bool = True,
        sanding: bool = False,
        varnishing: bool = False,
    ) -> "Work":
        """The work of some layers. ``tubes``: by name and pigments; the layers' pigments that are in none of them
        stand for themselves."""
        given = tuple(layers)
        named = {code for _, codes in tubes for code in codes}
        rest = dict.fromkeys(code for layer in given for code in layer.pigments if code not in named)
        return cls(
            tuple(dict.fromkeys(layer.medium for layer in given)),
            (*tubes, *((code, (code,)) for code in rest)),
            tuple(dict.fromkeys(layer.thickness for layer in given)),
            cleaning=cleaning,
            sanding=sanding,
            varnishing=varnishing,
        )  # fmt: skip

    @property
    def with_solvent(self) -> bool:
        """Whether solvent may be about: only paint from the tube, of which nothing is cleaned, is sure to have none."""
        return self.cleaning or self.varnishing or any(medium is not Medium.STRAIGHT for medium in self.mediums)


RAGS = Caution(
    "oily rags", Place.CLEANING, "Oily rags can catch fire by themselves",
    "Rags, paper and scrapings with oil or oil paint heat up as they dry: never leave them in a heap, a pocket or an "
    "open bin. Spread them flat outdoors, away from all that burns, until they are stiff, or put them under water in a "
    "closed metal can.",
    "always: every drying oil does it",
    "NFPA, Safety with Oily Rags (2017); covered metal receptacles: OSHA 29 CFR 1910.106(e)(9)(iii)",
)  # fmt: skip
WASTE = Caution(
    "waste", Place.CLEANING, "Nothing down the drain",
    "Let dirty solvent settle in a closed jar and use the clear part again. Bring the sludge, leftover paint, solvent "
    "and rags to where your town takes hazardous waste.",
    "always",
    f"rules on solvent wipes (EPA 40 CFR 261.4), {MEMORY}; {PRACTICE}",
)  # fmt: skip
BRUSHES = Caution(
    "cleaning", Place.CLEANING, "Brushes",
    "Wipe brushes well first, then wash them in oil or in little solvent, then with soap and water. Close the jar "
    "again at once.",
    "when brushes or the palette are cleaned",
    PRACTICE,
)  # fmt: skip
VAPOUR = Caution(
    "solvent vapour", Place.MEDIUM, "Solvent vapour",
    "Keep fresh air moving through the room and jars closed, and use little: you may no longer smell it when there is "
    "too much. Go out when you feel dizzy or your head aches.",
    "with solvent, any medium that may hold it, varnish, and when brushes are cleaned with it",
    "special labels for turpentine and petroleum distillates of 10 % or more: 16 CFR 1500.14(a); limits in the air at "
    f"work of 100 ppm for turpentine, and of 500 ppm (OSHA) or 100 ppm (ACGIH) for Stoddard solvent, {MEMORY}",
)  # fmt: skip
FLAMES = Caution(
    "flames", Place.MEDIUM, "No flames",
    "Solvent, alkyd medium and varnish burn, and their vapour too: no flame, no smoking, no heater that glows, no "
    "sparks in the room.",
    "with solvent, any medium that may hold it, varnish, and when brushes are cleaned with it",
    f"labels under 16 CFR 1500.14(a); {PRACTICE}",
)  # fmt: skip
ALKYD = Caution(
    "alkyd", Place.MEDIUM, "Alkyd medium",
    "It holds petroleum solvent, and driers that can make the skin react: wear gloves, and keep air moving as with "
    "solvent.",
    "with alkyd medium",
    MEMORY,
)  # fmt: skip
THICK = Caution(
    "thick paint", Place.LAYER, "Thick paint",
    "It is soft beneath its skin for months. Do not cut, scrape or sand it in that time; what is scraped off is as "
    "oily rags are.",
    "where a layer is thick",
    PRACTICE,
)  # fmt: skip
SANDING = Caution(
    "sanding", Place.LAYER, "Sanding",
    "Rub a ground down wet where it bears water, else outdoors, never paint that is dry. Wear a mask for fine dust "
    "that fits, and wipe up damp.",
    "where a ground or a dry layer is rubbed down",
    f"no dry sanding: labels under ASTM D4236; {PRACTICE}",
)  # fmt: skip
SANDING_POISON = Caution(
    "sanding poison", Place.LAYER, "Do not sand",
    "do not rub it down at all, not even wet; scrape nothing off dry.",
    "where a layer is rubbed down that holds a poisonous pigment",
    f"no dry sanding: labels under ASTM D4236; that it is not done wet either is {PRACTICE}",
)  # fmt: skip
VARNISH = Caution(
    "varnish", Place.VARNISH, "Varnish",
    "Brush it on rather than spray it. Spray outdoors only, with a mask for organic vapour and mist, and let it dry "
    "where nobody sleeps.",
    "when it is varnished",
    f"{MEMORY}; {PRACTICE}",
)  # fmt: skip
SKIN = Caution(
    "skin", Place.STUDIO, "Skin and eyes",
    "Wear gloves that the solvent does not go through, and take paint off the skin with oil or soap and water, never "
    "with solvent. Rinse eyes with much water.",
    "always",
    f"{MEMORY}; {PRACTICE}",
)  # fmt: skip
FOOD = Caution(
    "food", Place.STUDIO, "Food and drink",
    "Do not eat, drink or smoke where you paint, and wash your hands first. Never point a brush with your lips, and "
    "keep nothing of it in jars that food or drink came in.",
    "always",
    f"labels under ASTM D4236; {PRACTICE}",
)  # fmt: skip
CHILDREN = Caution(
    "children and animals", Place.STUDIO, "Children and animals",
    "Keep paint, solvent, rags and the wet painting where they cannot reach them. If any of it is swallowed, call the "
    "poison centre at once with the label in hand, and do not bring on vomiting.",
    "always",
    f"labels under 16 CFR 1500.14; {MEMORY}",
)  # fmt: skip


def cautions_for(work: Work) -> tuple[Caution, ...]:
    """What applies, in the order of their places. Without anything told, that is what always applies."""
    told = [SKIN, FOOD, CHILDREN]
    if work.with_solvent:
        told += [VAPOUR, FLAMES]
    if Medium.ALKYD in work.mediums:
        told.append(ALKYD)
    told += pigments_told(work.tubes or (("", ()),))
    if Thickness.THICK in work.thicknesses:
        told.append(THICK)
    if work.sanding:
        told += [SANDING, *_not_sanded(work.tubes)]
    if work.varnishing:
        told.append(VARNISH)
    told += [RAGS, WASTE]
    if work.cleaning:
        told.append(BRUSHES)
    order = list(Place)
    return tuple(sorted(told, key=lambda caution: order.index(caution.place)))


def cautions_at(place: Place, work: Work) -> tuple[Caution, ...]:
    """Those of one place."""
    return tuple(caution for caution in cautions_for(work) if caution.place is place)


def pigments_told(tubes: Iterable[tuple[str, tuple[str, ...]]]) -> list[Caution]:
    """The cautions of tubes, each once with the names of its tubes, the poisonous first, then how films age, last that
    of all dusts. ``tubes``: name and Colour Index generic names of each."""
    names: dict[PigmentCaution, dict[str, None]] = {}
    for name, codes in tubes:
        for caution in pigment_cautions(codes, name):
            names.setdefault(caution, {})[name] = None
    ordered = sorted(names, key=lambda caution: (caution is DUST_CAUTION, caution.film))
    return [_told(caution, tuple(names[caution])) for caution in ordered]


def _told(caution: PigmentCaution, tubes: tuple[str, ...]) -> Caution:
    """A pigment's caution as one of these. That of dust holds for every tube, so it names none."""
    dust = caution is DUST_CAUTION
    return Caution(
        caution.key,
        Place.TUBES,
        "Dust" if dust else _capital(caution.key) if not caution.film else "Film",
        caution.warn,
        "always" if dust else f"with {', '.join(caution.pigments)}",
        caution.source,
        () if dust else tubes,
    )


def _not_sanded(tubes: Iterable[tuple[str, tuple[str, ...]]]) -> list[Caution]:
    """That a layer with any of the poisonous tubes is not rubbed down."""
    poisonous = dict.fromkeys(
        name for name, codes in tubes if any(caution.poison for caution in pigment_cautions(codes, name))
    )
    return [replace(SANDING_POISON, tubes=tuple(poisonous))] if poisonous else []


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
