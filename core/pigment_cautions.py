"""What to be careful of with a pigment, by its Colour Index generic name: what is poisonous in it, how its film ages.

One place for these sentences: the tubes that come with the program (``assets/tube_figures.py``) and the cautions of a
sitting take them from here. Which pigment is made of what is from memory, of the Colour Index. That paint is neither
swallowed, sprayed nor breathed as dust is the general advice of labels under ASTM D4236, law in the United States by
16 CFR 1500.14(b)(8). The list is no complete one, and no tube is harmless because it is not on it: the label and the
safety data sheet decide.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

SHEET = "Follow the label and the safety data sheet."
_LABELS = "labels under ASTM D4236 and 16 CFR 1500.14(b)(8)"
_MEMORY = "from memory"
_NO_DUST = "do not swallow it, spray it or breathe its dust"
_NO_SKIN = f"{_NO_DUST}, and keep it off the skin"
_NO_HEAT = f"{_NO_DUST}, and do not heat it"


@dataclass(frozen=True)
class PigmentCaution:
    """``key``: by which it is known. ``warn``: what to do, without the last word of the label (``say`` has it).
    ``pigments``: Colour Index generic names. ``names``: parts of the names of tubes that tell it where no pigment is
    given. ``poison``: of health, and more than the care that every dust asks for. ``film``: of the film alone."""

    key: str
    warn: str
    source: str
    pigments: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    poison: bool = True
    film: bool = False

    @property
    def say(self) -> str:
        """The whole caution; of health it defers to the label."""
        return self.warn if self.film else f"{self.warn} {SHEET}"


def _of(key: str, warn: str, source: str, pigments: str, *names: str, poison: bool = True) -> PigmentCaution:
    return PigmentCaution(key, warn, f"{_LABELS}; {source}", tuple(pigments.split()), names, poison)


def _film(key: str, warn: str, source: str, pigments: str) -> PigmentCaution:
    return PigmentCaution(key, warn, source, tuple(pigments.split()), poison=False, film=True)


PIGMENT_CAUTIONS = (
    # lead carbonate, sulphate, silicate; red lead; litharge. Lead-tin yellow has no Colour Index name.
    _of("lead", f"Holds lead, which is poisonous: {_NO_SKIN}.",
        "inorganic lead compounds are in group 2A of IARC, from memory", "PW1 PW2 PW16 PR105 PY46",
        "lead-tin", "lead white", "red lead", "flake white", "cremnitz white", "minium", "massicot"),
    _of("lead antimonate", f"Holds lead and antimony, which are poisonous: {_NO_SKIN}.", _MEMORY, "PY41",
        "naples yellow"),
    # chrome yellow, orange, red, molybdate red; chrome green is chrome yellow with Prussian blue
    _of("lead chromate", f"Holds lead and chromate, which are poisonous and can cause cancer: {_NO_SKIN}.",
        "chromium(VI) compounds are in group 1 of IARC, from memory", "PY34 PO21 PO45 PR103 PR104 PG15",
        "chrome yellow", "chrome orange", "chrome red"),
    # of barium, strontium, calcium, zinc
    _of("chromate", f"Holds chromate, which is poisonous and can cause cancer: {_NO_SKIN}.",
        "chromium(VI) compounds are in group 1 of IARC, from memory", "PY31 PY32 PY33 PY36",
        "barium yellow", "strontium yellow", "zinc yellow"),
    # yellows, orange, red, those on barium sulphate, those with mercury; cadmium green
    _of("cadmium", f"Holds cadmium: {_NO_DUST}.", "cadmium compounds are in group 1 of IARC, from memory",
        "PY35 PY37 PO20 PO23 PR108 PR113 PG14", "cadmium"),
    # blues, ceruleans, smalt; greens; violets; aureolin; blacks
    _of("cobalt", f"Holds cobalt, which can make the skin react: {_NO_DUST}.",
        "cobalt(II) salts are in group 2A or 2B of IARC (volume 131), from memory",
        "PB28 PB32 PB35 PB36 PB72 PB74 PG19 PG26 PG50 PV14 PV47 PV48 PV49 PY40 PBk25 PBk27",
        "cobalt", "cerulean", "aureolin", "smalt"),
    _of("mercury", f"Holds mercury, which is poisonous: {_NO_HEAT}.", _MEMORY, "PR106 PR113 PO23",
        "vermilion", "cinnabar"),
    # emerald green (the old one) and Scheele's; orpiment and realgar
    _of("arsenic", f"Holds arsenic, which is very poisonous and can cause cancer: better not used; {_NO_SKIN}.",
        "arsenic compounds are in group 1 of IARC, from memory", "PG21 PG22 PY39", "orpiment", "realgar",
        "king's yellow", "scheele", "emerald green"),
    # manganese violet and blue, manganese browns and blacks; the umbers of PBr7 are told by their name
    _of("manganese", f"Holds manganese: {_NO_DUST}.", _MEMORY, "PV16 PB33 PBr8 PBk14 PBk26 PBk28 PBk33", "umber",
        "manganese"),
    _of("barium", f"Holds barium in a form that is poisonous when swallowed: {_NO_DUST}.", _MEMORY, "PB33 PW10"),
    # chromium oxide, viridian; with cobalt: PB36, PG26; with titanium and antimony: PBr24
    _of("chromium", f"Holds chromium, not as chromate: {_NO_HEAT}.", _MEMORY, "PG17 PG18 PB36 PG26 PBr24",
        "chromium oxide", "viridian"),
    # nickel titanates, nickel azo yellow and green, cobalt titanate green
    _of("nickel", f"Holds nickel, which can make the skin react: {_NO_DUST}.",
        "nickel compounds are in group 1 of IARC, from memory; bound in these pigments they are hardly dissolved",
        "PY53 PY150 PY157 PG10 PG50 PBk25"),
    # antimony white, antimony vermilion; titanates
    _of("antimony", f"Holds antimony: {_NO_DUST}.", _MEMORY, "PW11 PR107 PY53 PBr24"),
    _of("vanadium", f"Holds vanadium: {_NO_DUST}.", _MEMORY, "PY184 PB71", "bismuth yellow"),
    # verdigris, azurite, malachite
    _of("copper", f"Holds copper in a form that is poisonous when swallowed: {_NO_DUST}.", _MEMORY, "PG20 PG39 PB30",
        "verdigris", "azurite", "malachite"),
    _of("heat and acids", "Do not heat it or bring it together with acids.", "it gives prussic acid off, from memory",
        "PB27 PG15", "prussian blue", poison=False),
    _film("brittle", "Films with zinc white grow brittle with age.", _MEMORY, "PW4"),
    _film("fades", "Fades in light, in thin layers and tints first.", "category III of ASTM D4302, from memory",
          "PR83"),
    _film("darkens", "May darken in strong light.", _MEMORY, "PR106"),
)  # fmt: skip
DUST_CAUTION = PigmentCaution("dust", "Do not sand dry paint or breathe its dust.", _LABELS, poison=False)
"""What holds for every pigment: said alone where nothing worse is known."""

_SENTENCES = {each.key: each.say for each in (*PIGMENT_CAUTIONS, DUST_CAUTION)}
DUST, LEAD, ANTIMONY = _SENTENCES["dust"], _SENTENCES["lead"], _SENTENCES["lead antimonate"]
CADMIUM, COBALT, MERCURY = _SENTENCES["cadmium"], _SENTENCES["cobalt"], _SENTENCES["mercury"]
MANGANESE, CHROMIUM, CYANIDE = _SENTENCES["manganese"], _SENTENCES["chromium"], _SENTENCES["heat and acids"]
BRITTLE, FADES, DARKENS = _SENTENCES["brittle"], _SENTENCES["fades"], _SENTENCES["darkens"]

_CODE = re.compile(r"\s*([pn](?:bk|br|[bgmorvwy]))[\s-]*0*(\d+)", re.IGNORECASE)
_NOT_IT = re.compile(r"\b(hue|imitation|substitute|free|tone)\b", re.IGNORECASE)
"""Words by which a maker says that a tube does not hold what it is called after."""
_EARTHS = "pbr7"


def pigment_cautions(pigments: Iterable[str], name: str = "") -> tuple[PigmentCaution, ...]:
    """What is known of a tube, the gravest first; the caution of all dusts where no other of health is known.

    ``pigments``: Colour Index generic names in any case, the shade after a colon left out of account (``PB15:3``).
    ``name``: of the tube, which tells where no pigment is given, and umber from the other earths of PBr7. It errs to
    the safe side: many a tube is called after a pigment that it no longer holds.
    """
    codes = {code for each in pigments if (code := _code(each))}
    called = "" if _NOT_IT.search(name) else " ".join(name.casefold().split())
    found = [each for each in PIGMENT_CAUTIONS if codes & {pigment.casefold() for pigment in each.pigments}]
    if not codes:
        found = [each for each in PIGMENT_CAUTIONS if any(part in called for part in each.names)]
    elif _EARTHS in codes and "umber" in called:
        found += [each for each in PIGMENT_CAUTIONS if each.key == "manganese" and each not in found]
    if all(each.film for each in found):
        found.append(DUST_CAUTION)
    return tuple(sorted(found, key=lambda each: each.film))


def _code(pigment: str) -> str:
    """``pb15`` of ``PB 15:3``; empty where it is no Colour Index name."""
    found = _CODE.match(pigment)
    return f"{found[1]}{int(found[2])}".casefold() if found else ""
