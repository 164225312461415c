"""How near a colour card brings the colours of a photo, on paints that no fit knew, by each way.

    python -m tests.measure.final_photo [cases] [first seed] [photos]

Cameras, lights, balances, curves of contrast and editions of the card are of chance; the card's patches are spectra
that have exactly the published colours. First the card and the paints as even patches, then whole JPEG photos in which
the card has to be found, in light that is even and that falls off. The constants in the code were chosen on seeds 0 to
59; those from 200 are kept apart.
"""

import sys
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from core.errors import ValuesError
from core.painting_report import card
from core.painting_report.card import CardCorrection, Edition, card_correction, correction_by
from core.painting_report.card_fit import Way, differences, fit, left_out
from core.value.light_chart import NEUTRALS, Chart
from core.value.light_grid import FULL
from tests.core.painting_report.card_case import CANVAS, Case, case, photograph, read_paints

Floats = NDArray[np.float64]


def as_chart(case: Case) -> Chart:
    """The card read without fault."""
    row, column = np.divmod(np.arange(24), 6)
    places = np.stack([column, row], axis=1).astype(float)
    nothing = np.full(6, np.nan)
    return Chart(places[:4], places, case.card, np.zeros(3), 0.0, nothing, np.nan)


def told(name: str, off: Iterable[float]) -> None:
    each = np.array(list(off))
    most = f"90 % within {np.quantile(each, 0.9):5.2f}, worst {each.max():5.2f}"
    print(f"  {name:48s} {each.mean():5.2f} in the mean, {most}")


def ways_of(case: Case) -> dict[str, float]:
    """Mean CIEDE2000 of the paints that the camera holds, by each way."""
    read, wanted = case.card, case.edition.colours
    used = ~card._beyond(read) & (read.max(axis=1) < FULL)
    greys = np.isin(np.arange(24), NEUTRALS)[used]
    seen, truth = case.paint, case.truth
    held = (seen.min(axis=1) > card._FLOOR) & (seen.max(axis=1) < FULL)
    seen, truth = seen[held], truth[held]
    off = {"as shot": float(differences(seen, truth).mean())}
    for way in Way:
        for name, straightened in (("", None), (", contrast straightened", greys)):
            made = fit(read[used], wanted[used], way, greys=straightened)
            off[f"{way}{name}"] = float(differences(made.of(seen), truth).mean())
            off[f"left out: {way}{name}"] = float(left_out(read[used], wanted[used], way, greys=straightened).mean())
    for name, edition in (("chosen, edition known", case.edition), ("chosen, edition told by the card", None)):
        made_by = correction_by(as_chart(case), edition=edition)
        off[name] = float(differences(made_by.of(seen), truth).mean())
        if edition is None:
            off["edition right"] = float(made_by.edition is case.edition)
            off["edition told"] = float("cannot be told" not in made_by.notes[0])
        else:
            off["left out: chosen"] = made_by.left_out.mean
            off["root-polynomials taken"] = float(made_by.way is Way.ROOTS)
    return off


def patches(seeds: range) -> None:
    found = []
    for seed in seeds:
        try:
            found.append((case(seed), ways_of(case(seed))))
        except ValuesError as error:
            print(f"  seed {seed}: refused: {error}")
    for name in found[0][1]:
        if name.startswith(("edition", "root-polynomials taken")):
            print(f"  {name:44s} {np.mean([off[name] for _, off in found]):.0%}")
        else:
            told(name, (off[name] for _, off in found))
    for tone in sorted({each.shot.tone for each, _ in found}):
        of = [off for each, off in found if each.shot.tone == tone]
        shown = ", ".join(f"{name} {np.mean([off[name] for off in of]):.2f}" for name in ("matrix", "root-polynomial"))
        print(f"  contrast {tone}: {shown}, chosen {np.mean([off['chosen, edition known'] for off in of]):.2f}")
    clear = [off["edition right"] for _, off in found if off["edition told"]]
    print(f"  the edition, where it is told apart: right {np.mean(clear):.0%} of {len(clear)}")


def photo(shown: Case, fall_off: float) -> tuple[CardCorrection, float, float] | str:
    """The correction, and mean CIEDE2000 of the paints as shot and corrected; or why not."""
    made = photograph(shown, fall_off=fall_off)
    try:
        found = card_correction(made, canvas_px=CANVAS)
    except ValuesError as error:
        return str(error)
    if found is None:
        return "not found"
    seen, truth = read_paints(made.linear(), shown.paints), shown.truth
    return found, float(differences(seen, truth).mean()), float(differences(found.of(seen), truth).mean())


def photos(seeds: range) -> None:
    for fall_off in (0.0, 0.12, 0.25):
        answers = [photo(case(seed), fall_off) for seed in seeds]
        good = [each for each in answers if not isinstance(each, str)]
        print(f"Photos, light falls by {fall_off} over the picture: corrected {len(good)} of {len(answers)}")
        for why in sorted({each for each in answers if isinstance(each, str)}):
            print(f"  {answers.count(why)}: {why[:90]}")
        told("paints as shot", (each[1] for each in good))
        told("paints corrected", (each[2] for each in good))
        told("told by the patches left out", (each[0].left_out.mean for each in good))
        true = -fall_off * (1140 - np.mean([each[0].outline_px[:, 0].mean() for each in good])) / 1199
        light = [each[0].light for each in good if each[0].light is not None]
        off = np.array([each.change - true for each in light])
        sigma = np.array([each.sigma for each in light])
        print(
            f"  light at the farthest corner {true:.3f}, found {true + off.mean():.3f} ± {off.std():.3f}, told ± "
            f"{sigma.mean():.3f}; off by over two of these {np.mean(np.abs(off) > 2 * sigma):.0%}; called uneven "
            f"{np.mean([each.uneven for each in light]):.0%}"
        )


def main(cases: int, first: int, shots: int) -> None:
    print(f"Even patches, seeds {first} to {first + cases - 1}; editions {', '.join(Edition)}:")
    patches(range(first, first + cases))
    photos(range(first, first + shots))


if __name__ == "__main__":
    main(*(int(each) for each in (*sys.argv[1:4], *("70", "200", "16")[len(sys.argv[1:4]) :])))
