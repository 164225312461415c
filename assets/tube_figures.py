"""What is stated of each tube: the figures from which ``assets/make_tubes.py`` makes ``assets/tubes.json``.

From memory are: mean refractive indices (as handbooks of artists' pigments give them), tinting strengths but for those
of ochre, burnt sienna and raw umber (Okumura 2005), absorption bands and edges (published spectra), opacity and drying
(common practice), categories of light-fastness (ASTM D4302), and what is poisonous. The strengths were held against
the amounts that give plastics one third of standard depth beside 1 % of titanium white, also from memory: 0.1 % phthalo
blue, 0.2 % quinacridone or phthalo green, 1 % ultramarine or cadmium.
"""

from dataclasses import dataclass

from core.pigment_cautions import (
    ANTIMONY,
    BRITTLE,
    CADMIUM,
    CHROMIUM,
    COBALT,
    CYANIDE,
    DARKENS,
    DUST,
    FADES,
    LEAD,
    MANGANESE,
    MERCURY,
)

OPAQUE, SEMI_OPAQUE, SEMI_TRANSPARENT, TRANSPARENT = "opaque", "semi-opaque", "semi-transparent", "transparent"
FAST, MEDIUM, SLOW = "fast", "medium", "slow"
NOT_RATED = "not rated"

STAINS = "Stains: a trace of it is strong, and brushes hold it."


@dataclass(frozen=True)
class Told:
    """What is told of a tube in words."""

    opacity: str
    drying: str
    lightfastness: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class White:
    """``index``: mean refractive index; ``density``: g/cm3; ``fall``: the power of wavelength by which it scatters,
    less that of titanium white, which is -1 (zinc and lead white from pairs over black and white, Geldof and others
    2018; titanium white from memory)."""

    name: str
    pigment: str
    index: float
    density: float
    fall: float
    told: Told


@dataclass(frozen=True)
class Colour:
    """``strength``: tinting strength, K/S of 1 part with 10 parts of titanium white by mass, at ``at`` nm, or where it
    is greatest from 430 to 700 nm. ``powder``: the row of ``tube_powders`` with its shape, moved by ``shift`` nm.
    ``value``: the Munsell value of the masstone, where the one that the powder gives in oil is not what painters know.
    ``tone``: the power of wavelength that absorption and scattering are multiplied by."""

    name: str
    pigments: tuple[str, ...]
    strength: float
    index: float
    told: Told
    powder: str
    shift: float = 0.0
    at: int | None = None
    value: float | None = None
    tone: float = 0.0
    black: bool = False


@dataclass(frozen=True)
class Organic:
    """A pigment without a published powder, or with one that bronzes: ``bands`` of absorption, each centre and width
    (standard deviation) in nm and height; ``edge``: absorbs all below this wavelength, nm, and how soft; ``least``:
    between the bands; ``deepest``: K/S of the masstone at its darkest. ``strength`` as of a Colour."""

    name: str
    pigments: tuple[str, ...]
    strength: float
    told: Told
    deepest: float
    bands: tuple[tuple[float, float, float], ...] = ()
    edge: tuple[float, float] | None = None
    least: float = 0.0
    tone: float = 0.0


WHITES = (
    White("titanium white", "PW6", 2.70, 4.2, 0.0, Told(OPAQUE, MEDIUM, "I", (DUST,))),
    White("zinc white", "PW4", 2.01, 5.6, -1.0, Told(SEMI_TRANSPARENT, MEDIUM, "I", (BRITTLE, DUST))),
    White("lead white", "PW1", 2.01, 6.7, -0.4, Told(SEMI_OPAQUE, FAST, "I", (LEAD,))),
)

# Yellow ochre, burnt sienna and raw umber at 450 nm: 1 part in 10 of white with the K and S of Okumura 2005.
COLOURS: tuple[Colour | Organic, ...] = (
    Colour("lead-tin yellow", (), 0.045, 2.3, Told(OPAQUE, FAST, NOT_RATED, (LEAD,)), "lead-tin yellow"),
    Colour("Naples yellow", ("PY41",), 0.05, 2.2, Told(OPAQUE, FAST, "I", (ANTIMONY,)), "Naples yellow"),
    Organic("Hansa yellow light", ("PY3",), 0.20, Told(SEMI_TRANSPARENT, SLOW, "II", (DUST,)), 14, edge=(469, 7),
            least=0.0006),
    Organic("Hansa yellow", ("PY74",), 0.25, Told(SEMI_TRANSPARENT, SLOW, "I", (DUST,)), 18, edge=(482, 8),
            least=0.0006),
    Colour("cadmium yellow light", ("PY35",), 0.15, 2.4, Told(OPAQUE, MEDIUM, "I", (CADMIUM,)),
           "cadmium yellow medium", shift=-22),
    Colour("cadmium yellow medium", ("PY35",), 0.16, 2.4, Told(OPAQUE, MEDIUM, "I", (CADMIUM,)),
           "cadmium yellow medium"),
    Colour("cadmium orange", ("PO20",), 0.17, 2.5, Told(OPAQUE, MEDIUM, "I", (CADMIUM,)), "cadmium yellow medium",
           shift=42),
    Colour("yellow ochre", ("PY43",), 0.04696, 2.0, Told(SEMI_OPAQUE, MEDIUM, "I", (DUST,)), "yellow ochre", at=450),
    Colour("raw sienna", ("PBr7",), 0.045, 1.9, Told(SEMI_TRANSPARENT, FAST, "I", (DUST,)), "raw sienna", value=4.5),
    Colour("raw umber", ("PBr7",), 0.0820, 2.0, Told(SEMI_OPAQUE, FAST, "I", (MANGANESE,)), "raw umber", at=450),
    Colour("burnt umber", ("PBr7",), 0.10, 2.0, Told(SEMI_OPAQUE, FAST, "I", (MANGANESE,)), "burnt umber"),
    Colour("burnt sienna", ("PBr7",), 0.05176, 2.2, Told(SEMI_TRANSPARENT, MEDIUM, "I", (DUST,)), "burnt sienna",
           at=450),
    Colour("transparent oxide red", ("PR101",), 0.11, 1.75, Told(TRANSPARENT, MEDIUM, "I", (DUST,)), "burnt sienna"),
    Colour("Venetian red", ("PR101",), 0.17, 2.8, Told(OPAQUE, MEDIUM, "I", (DUST,)), "Venetian red"),
    Colour("Indian red", ("PR101",), 0.24, 2.9, Told(OPAQUE, MEDIUM, "I", (DUST,)), "Venetian red", shift=12),
    Colour("vermilion", ("PR106",), 0.13, 3.0, Told(OPAQUE, SLOW, NOT_RATED, (MERCURY, DARKENS)), "cadmium red",
           shift=-24),
    Colour("cadmium red", ("PR108",), 0.20, 2.7, Told(OPAQUE, MEDIUM, "I", (CADMIUM,)), "cadmium red", shift=-18),
    Organic("pyrrole red", ("PR254",), 0.42, Told(SEMI_OPAQUE, SLOW, "I", (DUST, STAINS)), 22, least=0.0015,
            bands=((535, 22, 1.0), (500, 26, 0.9), (450, 45, 0.6), (390, 45, 0.7))),
    Colour("alizarin crimson", ("PR83",), 0.24, 1.68, Told(TRANSPARENT, SLOW, "III", (FADES, DUST)),
           "alizarin crimson", value=2.6),
    Organic("quinacridone rose", ("PV19",), 0.36, Told(TRANSPARENT, SLOW, "I", (DUST, STAINS)), 45, least=0.002,
            bands=((562, 15, 1.0), (528, 22, 0.95), (490, 30, 0.35), (380, 40, 0.2))),
    Organic("cobalt violet", ("PV14",), 0.04, Told(SEMI_OPAQUE, FAST, "I", (COBALT,)), 6, least=0.05,
            bands=((575, 28, 0.95), (528, 28, 1.0), (480, 22, 0.35), (380, 40, 0.25))),
    Organic("manganese violet", ("PV16",), 0.06, Told(SEMI_TRANSPARENT, FAST, "I", (MANGANESE,)), 18, least=0.03,
            bands=((547, 40, 1.0), (610, 40, 0.1), (380, 40, 0.25))),
    Organic("dioxazine violet", ("PV23",), 0.9, Told(TRANSPARENT, SLOW, "II", (DUST, STAINS)), 90, least=0.012,
            bands=((615, 20, 1.0), (565, 25, 0.95), (525, 28, 0.6), (380, 30, 0.4))),
    Colour("ultramarine", ("PB29",), 0.065, 1.5, Told(TRANSPARENT, MEDIUM, "I", (DUST,)), "ultramarine"),
    Colour("cobalt blue", ("PB28",), 0.055, 1.74, Told(SEMI_TRANSPARENT, FAST, "I", (COBALT,)), "cobalt blue",
           value=3.5),
    Colour("cerulean blue", ("PB35",), 0.045, 1.84, Told(SEMI_OPAQUE, FAST, "I", (COBALT,)), "cerulean blue"),
    Organic("Prussian blue", ("PB27",), 0.55, Told(TRANSPARENT, FAST, "I", (CYANIDE, STAINS)), 150, least=0.02,
            bands=((700, 85, 1.0), (590, 45, 0.2), (350, 45, 0.25))),
    Organic("phthalo blue", ("PB15",), 0.85, Told(TRANSPARENT, MEDIUM, "I", (DUST, STAINS)), 110, least=0.006,
            bands=((615, 32, 1.0), (690, 38, 0.95), (565, 26, 0.35), (345, 38, 0.9))),
    Organic("phthalo green", ("PG7",), 0.55, Told(TRANSPARENT, MEDIUM, "I", (DUST, STAINS)), 90, least=0.006,
            bands=((645, 30, 1.0), (590, 30, 0.4), (700, 30, 0.7), (370, 42, 0.8))),
    Colour("viridian", ("PG18",), 0.045, 1.82, Told(TRANSPARENT, MEDIUM, "I", (CHROMIUM,)), "viridian", value=3.0),
    Colour("chromium oxide green", ("PG17",), 0.08, 2.5, Told(OPAQUE, MEDIUM, "I", (CHROMIUM,)),
           "chromium oxide green"),
    Organic("terre verte", ("PG23",), 0.015, Told(TRANSPARENT, MEDIUM, "I", (DUST,)), 9, least=0.25,
            bands=((720, 75, 1.0), (380, 52, 0.9), (620, 60, 0.2))),
    Colour("ivory black", ("PBk9",), 0.17, 1.67, Told(SEMI_OPAQUE, SLOW, "I", (DUST,)), "bone black", tone=0.7,
           black=True),
    Colour("lamp black", ("PBk6",), 0.5, 2.0, Told(OPAQUE, SLOW, "I", (DUST, STAINS)), "bone black", tone=1.0,
           black=True),
    Colour("Mars black", ("PBk11",), 0.3, 2.4, Told(OPAQUE, MEDIUM, "I", (DUST,)), "Mars black", black=True),
)  # fmt: skip
