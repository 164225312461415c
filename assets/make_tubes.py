"""Makes ``assets/tubes.json``, what usual oil colours absorb and scatter: ``python -m assets.make_tubes``.

No published table gives K and S of oil colours at every wavelength. They are made from what there is; all but three
tubes are approximations, and the file says of every tube on what it rests.

**K/S of the masstone in oil.** Its course is that of the powder (USGS). The library's titanium white reads 0.58 where
paint of it reflects 0.91 without its surface: all rows are raised by that, but none over 0.87. A powder lies in air,
where it scatters more than in oil: K/S grows by (the pigment's contrast in air over that in oil, both over those of
titanium white)^0.2. Contrast is ((m^2 - 1)/(m^2 + 2))^2, m the index over that of what lies around (Lorentz, Lorenz).
Pigments without a row, and blue ones whose powder bronzes, are made of bands of absorption.

**K and S apart.** S falls as 1/(1 + 0.5 sqrt(K/S)): what absorbs strongly scatters less. K and S together are then
scaled until 1 part with 10 of titanium white has the stated tinting strength; how opaque a tube is comes out of that.

Held against ochre, burnt sienna and raw umber of Okumura 2005 at 450, 550 and 650 nm, acrylics of other makes, given
their strength at 450 nm. Mean error in reflectance of masstone and of 1:1, 1:3 and 1:10 with white: 0.028 (0.026,
0.011 and 0.048; her raw umber is nearly neutral). The other way tried, S level and from the pigment's contrast in oil
beside titanium white's, so that the masstone comes out of the strength: 0.061. With S level, but else as here: 0.035.
Her own S keep to the law within 0.085 rms of ln S; level S would be off by 0.22. Earths differ from pit to pit: what
is kept of these three lies halfway, in the logarithms of K and S, between the model and her figures.

Held against the ladder of real ultramarine in zinc white and oil, given its strength at 550 nm: mean error 0.018. The
exponent 0.2 was chosen on both (0: 0.029 and 0.028; 0.35: 0.029 and 0.035; 0.5: 0.029 and 0.049).

Ultramarine itself rests on that ladder (Geldof and others 2018, 11A to 11C), fitted to all three: it gives 11A within
0.004, 11B within 0.050 and 11C within 0.017, both worst at 450 nm. Fitted to 11A and 11B alone it is right in them,
and 11C comes 0.074 too dark at 450 nm and 0.014 at the others.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assets.tube_figures import COLOURS, NOT_RATED, WHITES, Colour, Organic, White
from assets.tube_powders import AT, POWDERS, SAMPLES
from core.colorimetry import munsell_value
from core.paint import WAVELENGTHS, fit_paints, ks, over_two_grounds, reflectance, saunderson, saunderson_inverse
from core.paint.spectrum import xyz

FILE = Path(__file__).with_name("tubes.json")
K1, K2 = 0.02, 0.6
"""Drawdowns in oil measured with the gloss in part kept out fall to 0.022 (Geldof and others 2018)."""
OIL = 1.48
"""Index of linseed oil, from memory."""
LIGHTEST = 0.87
CONTRAST = 0.2
SHADOW = 0.5
PARTS = 10
SEEN = (WAVELENGTHS >= 430) & (WAVELENGTHS <= 700)

# K beside S = 1: Okumura 2005 at 450, 550 and 650 nm; the edge below from the powder at 400 nm and the band gap of
# rutile, 3.0 eV, from memory.
TITANIUM = {380: 1.5, 390: 0.8, 400: 0.2, 410: 0.05, 420: 0.008, 430: 0.002, 440: 0.0009, 450: 0.000650, 550: 0.000515,
            650: 0.000534}  # fmt: skip
LADDER_AT = (450, 550, 650)
# K and S there of acrylics: Okumura 2005.
ACRYLICS = {
    "yellow ochre": ((0.469202, 0.064973, 0.022488), (0.129598, 0.165422, 0.157571)),
    "burnt sienna": ((0.512822, 0.357595, 0.058169), (0.033566, 0.047926, 0.080028)),
    "raw umber": ((0.817853, 0.739117, 0.733599), (0.053096, 0.048110, 0.047596)),
}
# Zinc white 07A over a white and a black card, and bare; ultramarine 11A, and 10.7 % (11B) and 51 % (11C) of it in that
# white, over the white card. Geldof, Proaño Gaibor, Kirchner and Ligterink 2018, Heritage Science 6:17 (CC0).
ZINC_OVER, CARDS = (
    ((0.8490, 0.8698, 0.8773), (0.8177, 0.7794, 0.7331)),
    ((0.8171, 0.8533, 0.8751), (0.0514, 0.0499, 0.0503)),
)
LADDER = {1.0: (0.2755, 0.0233, 0.0234), 0.107: (0.6701, 0.2455, 0.2088), 0.51: (0.5102, 0.0844, 0.0741)}
LEAD_WHITE = 0.87
"""Reflectance at 550 nm, from memory."""

Floats = NDArray[np.float64]


def at_all(nm: ArrayLike, values: ArrayLike) -> Floats:
    """Values above 0 at ``WAVELENGTHS``: smooth in their logarithm, level past the ends."""
    from core.paint.spectrum import at_wavelengths

    return np.exp(at_wavelengths(nm, np.log(values)))


def titanium_k() -> Floats:
    """K of titanium white, of which S is 1."""
    return at_all(list(TITANIUM), list(TITANIUM.values()))


def contrast(index: float, around: float) -> float:
    """How strongly small grains of ``index`` scatter in what has index ``around``, in a unit of no account."""
    m2 = (index / around) ** 2
    return ((m2 - 1.0) / (m2 + 2.0)) ** 2


def within(no_surface: ArrayLike) -> Floats:
    """Reflectance inside a layer, from the one measured less all that the surface throws back."""
    return saunderson_inverse(no_surface, 0.0, K2)


def of_powder(row: str, index: float, *, shift: float = 0.0, exponent: float = CONTRAST) -> Floats:
    """K/S of the masstone in oil, from the powder's reflectance."""
    powder = np.array(POWDERS[row]) / 100
    white = saunderson(reflectance(titanium_k(), 1.0), 0.0, K2)[SEEN].mean()
    level = max(np.mean(POWDERS["titanium dioxide"][4:]) / 100 / white, powder.max() / LIGHTEST)
    titanium = next(each.index for each in WHITES if each.pigment == "PW6")
    thinner = [contrast(n, 1.0) / contrast(n, OIL) for n in (index, titanium)]
    q = ks(within(powder / level)) * (thinner[0] / thinner[1]) ** exponent
    return at_all(np.array(AT) + shift, q)


def of_bands(organic: Organic) -> Floats:
    """K/S of the masstone, from bands of absorption."""
    q = np.full(len(WAVELENGTHS), organic.least)
    for centre, width, height in organic.bands:
        q += height * np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2)
    if organic.edge:
        centre, soft = organic.edge
        q += 1.0 / (1.0 + np.exp((WAVELENGTHS - centre) / soft))
    return q * organic.deepest / q.max()


def masstone_value(q: Floats) -> float:
    """Munsell value of a thick layer of K/S ``q``."""
    return float(munsell_value(xyz(saunderson(reflectance(q, 1.0), K1, K2))[1]))


def of_value(q: Floats, value: float) -> Floats:
    """``q`` made stronger or weaker until the masstone has a Munsell ``value``."""
    from scipy.optimize import brentq

    return q * float(np.exp(brentq(lambda more: masstone_value(q * np.exp(more)) - value, -4.0, 4.0)))


def scattering(q: Floats, tone: float = 0.0) -> Floats:
    """The course of S."""
    return np.asarray((WAVELENGTHS / 550.0) ** tone / (1.0 + SHADOW * np.sqrt(q)))


def scaled(k: Floats, s: Floats, strength: float, at: int | None = None) -> tuple[Floats, Floats]:
    """K and S of the stated tinting strength."""
    from scipy.optimize import brentq

    seen = SEEN if at is None else np.isin(WAVELENGTHS, at)

    def off(more: float) -> float:
        tint = (np.exp(more) * k + PARTS * titanium_k()) / (np.exp(more) * s + PARTS)
        return float(tint[seen].max()) - strength

    factor = float(np.exp(brentq(off, -12.0, 12.0)))
    return factor * k, factor * s


def of_white(white: White) -> tuple[Floats, Floats]:
    """K and S of a white. The S of whites beside titanium's is contrast in oil by volume: over density, by mass."""
    titanium = WHITES[0]
    s = contrast(white.index, OIL) / contrast(titanium.index, OIL) * titanium.density / white.density
    scatters = s * (WAVELENGTHS / 550.0) ** white.fall
    if white is titanium:
        return titanium_k(), scatters
    row, told = ("zinc oxide", zinc_white()) if white.pigment == "PW4" else ("lead white", None)
    q = at_all(AT, ks(within(np.array(POWDERS[row]) / 100)))
    if told is None:
        aim = float(ks(saunderson_inverse(LEAD_WHITE, K1, K2)))
        q *= aim / q[WAVELENGTHS == 550]
    else:
        q *= at_all(LADDER_AT, told / q[np.isin(WAVELENGTHS, LADDER_AT)])
    return q * scatters, scatters


def zinc_white() -> Floats:
    """K/S at ``LADDER_AT``, from the two drawdowns (Kubelka 1948)."""
    over = [np.asarray(saunderson_inverse(each, K1, K2)) for each in ZINC_OVER]
    cards = [within(each) for each in CARDS]
    return over_two_grounds(over[0], over[1], white=cards[0], black=cards[1]).a - 1.0


def ladder(shares: tuple[float, ...] = tuple(LADDER)) -> tuple[Floats, Floats]:
    """K and S of ultramarine at ``LADDER_AT`` beside a zinc white of S = 1, from the drawdowns with these shares."""
    white = saunderson(reflectance(zinc_white(), 1.0), K1, K2)
    samples = [({"zinc": 1.0}, white)] + [({"blue": c, "zinc": 1.0 - c}, LADDER[c]) for c in shares]
    blue = fit_paints(samples, LADDER_AT, white="zinc", k1=K1, k2=K2)["blue"]
    return blue.k, blue.s


def of_ladder(colour: Colour) -> tuple[Floats, Floats]:
    """K and S of ultramarine: the ladder's at its three wavelengths, the model's course between them."""
    q = of_powder(colour.powder, colour.index)
    s = scattering(q)
    zinc = next(of_white(white)[1] for white in WHITES if white.pigment == "PW4")
    here = np.isin(WAVELENGTHS, LADDER_AT)
    k_there, s_there = (each * zinc[here] for each in ladder())
    return q * s * at_all(LADDER_AT, k_there / (q * s)[here]), s * at_all(LADDER_AT, s_there / s[here])


def of_colour(colour: Colour | Organic) -> tuple[Floats, Floats]:
    """K and S of any tube but the whites."""
    if colour.name == "ultramarine":
        return of_ladder(colour)  # type: ignore[arg-type]
    k, s = modelled(colour)
    if colour.name in ACRYLICS:
        here, measured = np.isin(WAVELENGTHS, LADDER_AT), ACRYLICS[colour.name]
        k, s = (
            each * at_all(LADDER_AT, np.sqrt(np.array(told) / each[here]))
            for each, told in zip((k, s), measured, strict=True)
        )
    return k, s


def modelled(colour: Colour | Organic) -> tuple[Floats, Floats]:
    """K and S by the model alone."""
    if isinstance(colour, Organic):
        q, at = of_bands(colour), None
    else:
        q, at = of_powder(colour.powder, colour.index, shift=colour.shift), colour.at
        if colour.value is not None:
            q = of_value(q, colour.value)
    s = scattering(q, colour.tone)
    return scaled(q * s, s, colour.strength, at)


GELDOF = "Geldof, Proaño Gaibor, Kirchner and Ligterink 2018, Heritage Science 6:17 (CC0)"
USGS = "Kokaly and others 2017, USGS Spectral Library 7, Data Series 1035 (public domain)"
OKUMURA = "Okumura 2005, thesis, Rochester Institute of Technology"


def basis(paint: White | Colour | Organic) -> str:
    """On what K and S rest, for the painter."""
    if paint.name == "titanium white":
        return f"Measured in acrylic at 450, 550 and 650 nm ({OKUMURA}). Approximate between and below."
    if paint.name == "zinc white":
        return f"Measured in oil at 450, 550 and 650 nm ({GELDOF}). Its strength beside titanium white is approximate."
    if paint.name == "ultramarine":
        return f"Measured in oil, with white, at 450, 550 and 650 nm ({GELDOF}). Approximate between."
    if isinstance(paint, Organic):
        return "An approximation: the bands of the pigment's absorption and its strength, both from memory."
    row = "lead white" if isinstance(paint, White) else paint.powder
    sample = f", GDS{SAMPLES[row]}" if row in SAMPLES else ""
    if paint.name in ACRYLICS:
        return (
            f"An approximation halfway between two earths: the dry powder of {row} ({USGS}{sample}), brought into oil "
            f"by a model, and acrylic paint measured at 450, 550 and 650 nm ({OKUMURA})."
        )
    return f"An approximation from the dry powder of {row} ({USGS}{sample}), brought into oil by a model."


def sources(paint: White | Colour | Organic) -> dict[str, str]:
    """The source of each figure that is not K or S."""
    memory, practice = "from memory", "common practice, no source"
    told = {
        "opacity": practice,
        "drying": practice,
        "lightfastness": "ASTM D4302, from memory" if paint.told.lightfastness != NOT_RATED else memory,
        "cautions": f"{memory}; the label and the safety data sheet decide",
    }
    if isinstance(paint, White):
        return told | {"index": memory, "density": memory, "fall": f"{GELDOF}; that of titanium white {memory}"}
    strength = practice
    if paint.name == "ultramarine":
        strength = GELDOF
    elif paint.name in ACRYLICS:
        strength = OKUMURA
    told |= {each: memory for each in figures(paint)} | {"strength": strength}
    return told | ({"value": practice} if getattr(paint, "value", None) else {})


def figures(paint: White | Colour | Organic) -> dict[str, Any]:
    """The figures that K and S are made from, by the names that ``sources`` knows them by."""
    names = ("index", "density", "fall", "strength", "value", "deepest", "least", "edge", "bands", "shift", "tone")
    if paint.name == "ultramarine":
        names = ("index",)
    told = {name: getattr(paint, name, None) for name in names}
    return {name: figure for name, figure in told.items() if figure}


def row(paint: White | Colour | Organic) -> dict[str, Any]:
    """A tube as it stands in the file."""
    k, s = of_white(paint) if isinstance(paint, White) else of_colour(paint)
    return {
        "name": paint.name,
        "pigments": [paint.pigment] if isinstance(paint, White) else list(paint.pigments),
        "k": [float(f"{each:.5g}") for each in k],
        "s": [float(f"{each:.5g}") for each in s],
        "k1": K1,
        "k2": K2,
        "opacity": paint.told.opacity,
        "drying": paint.told.drying,
        "lightfastness": paint.told.lightfastness,
        "cautions": list(paint.told.cautions),
        "basis": basis(paint),
        "sources": sources(paint),
        "made_from": figures(paint),
        "white": isinstance(paint, White),
        "black": isinstance(paint, Colour) and paint.black,
    }


def main() -> None:
    tubes = [row(paint) for paint in (*WHITES, *COLOURS)]
    lines = ",\n".join(json.dumps(tube, ensure_ascii=False) for tube in tubes)
    head = json.dumps(WAVELENGTHS.astype(int).tolist())
    FILE.write_text(f'{{"wavelengths": {head}, "tubes": [\n{lines}\n]}}\n', encoding="utf-8")


if __name__ == "__main__":
    main()
