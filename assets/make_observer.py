"""Makes ``assets/observer.json``: ``python -m assets.make_observer``.

Weights that turn a reflectance at 380-730 nm, every 10 nm, into XYZ: ASTM E2022 (Lagrange interpolation between the
samples) for the CIE 1931 2° observer under D65 and D50, as colour-science works them out; the
weights of what lies past either end go to that end (ASTM E308). Y of the perfect diffuser is 1.
"""

import json
from pathlib import Path

FILE = Path(__file__).with_name("observer.json")


def main() -> None:
    import colour
    from colour.colorimetry import tristimulus_weighting_factors_ASTME2022 as weighting_factors

    shape = colour.SpectralShape(380, 730, 10)
    finely = colour.SpectralShape(360, 780, 1)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(finely)
    weights = {}
    for light in ("D65", "D50"):
        source = colour.SDS_ILLUMINANTS[light].copy().align(finely)
        found = weighting_factors(observer, source, shape)
        before, after = (380 - 360) // 10, (780 - 730) // 10
        held = found[before:-after]
        held[0] += found[:before].sum(axis=0)
        held[-1] += found[-after:].sum(axis=0)
        weights[light] = (held / held[:, 1].sum()).round(9).tolist()
    FILE.write_text(
        json.dumps({"wavelengths": shape.wavelengths.tolist(), "weights": weights}) + "\n", encoding="utf-8"
    )


if __name__ == "__main__":
    main()
