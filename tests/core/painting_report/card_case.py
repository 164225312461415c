"""A colour chart and dried paint beside it before simulated cameras: the true colour of every paint is known.

The chart's patches are the 'BabelColor Average' spectra of colour-science, bent a little and smoothly so that under
D50 they are exactly the published colours of an edition. Paints are mixes of the tubes. Cameras are those of
``tests/studio/swatch_photo``: sensitivities measured by the National Physical Laboratory (by colour-science), changed
at random, with a matrix of their own fitted in one light; a curve of contrast, noise and JPEG come after.
"""

import io
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.colorimetry import encode_srgb
from core.paint.paint import predict
from core.paint.spectrum import WAVELENGTHS, linear_rgb
from core.paint.tubes import tubes
from core.painting_report.card import CardCorrection, Edition, card_correction
from core.photo import Photo, load_photo_bytes
from tests.published.libraries import colour
from tests.studio.swatch_photo import LIGHTS, Sensor, Shot, camera_colour

Floats = NDArray[np.float64]
NAMES = {
    Edition.BEFORE_2014: "ColorChecker24 - Before November 2014",
    Edition.AFTER_2014: "ColorChecker24 - After November 2014",
}
CANVAS = ((520.0, 60.0), (1140.0, 60.0), (1140.0, 740.0), (520.0, 740.0))
"""Where the painted part lies in :func:`photograph`, px."""
_PATCH, _GAP = 56, 9


@dataclass(frozen=True)
class Case:
    """A camera, its light and an edition of the chart, with so many paints."""

    shot: Shot
    edition: Edition = Edition.AFTER_2014
    paints: int = 24
    seed: int = 0

    @property
    def card(self) -> Floats:
        """What the camera makes of the 24 patches, linear light."""
        return self.seen(chart_spectra(self.edition))

    @property
    def truth(self) -> Floats:
        """The paints as they are: linear light ``(n, 3)`` under D65, whites 1."""
        return linear_rgb(paint_spectra(self.paints, self.seed))

    @property
    def paint(self) -> Floats:
        """What the camera makes of the paints."""
        return self.seen(paint_spectra(self.paints, self.seed))

    def seen(self, spectra: Floats) -> Floats:
        """Linear light ``(n, 3)`` as it is told by the file, without its noise."""
        light = self.shot.exposure * (camera_colour(spectra, self.shot) + self.shot.veil)
        return _decoded(coded(light, self.shot.tone))


def case(seed: int, *, edition: Edition | None = None) -> Case:
    """A case of chance."""
    rng = np.random.default_rng(seed)
    sensor = Sensor(
        ("Nikon 5100 (NPL)", "Sigma SDMerill (NPL)")[seed % 2],
        tuple(rng.normal(0, 4, 3)),
        float(rng.uniform(0.95, 1.1)),
    )
    shot = Shot(
        sensor=sensor,
        light=LIGHTS[int(rng.integers(len(LIGHTS)))],
        balance=(float(rng.normal(1, 0.06)), 1.0, float(rng.normal(1, 0.06))),
        exposure=float(rng.uniform(0.55, 0.9)),
        tone=float(rng.choice([0.0, 0.0, 0.15, 0.3])),
        veil=float(rng.uniform(0, 0.006)),
        noise=0.003,
        seed=seed,
    )
    kinds = tuple(Edition)
    return Case(shot, kinds[int(rng.integers(2))] if edition is None else edition, seed=seed)


@cache
def chart_spectra(edition: Edition) -> Floats:
    """``(24, 36)`` at ``WAVELENGTHS``."""
    told = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
    spectra = np.array([np.interp(WAVELENGTHS, each.wavelengths, each.values) for each in told])
    chart = colour.CCS_COLOURCHECKERS[NAMES[edition]]
    wanted = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    power = np.interp(WAVELENGTHS, *_curve(colour.SDS_ILLUMINANTS["D50"]))
    told_by = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    observer = np.stack(
        [np.interp(WAVELENGTHS, told_by.wavelengths, told_by.values[:, each]) for each in range(3)], axis=1
    )
    weights = power[:, None] * observer / (power @ observer[:, 1])
    at = (WAVELENGTHS - 555.0) / 175.0
    shapes = np.stack([np.ones_like(at), at, at**2])
    bent = []
    for spectrum, xyz in zip(spectra, wanted, strict=True):
        bend = np.zeros(3)
        for _ in range(20):
            now = spectrum * np.exp(bend @ shapes)
            slope = weights.T @ (now[:, None] * shapes.T)
            bend = bend + np.linalg.solve(slope, xyz - weights.T @ now)
        bent.append(spectrum * np.exp(bend @ shapes))
    return np.array(bent)


@cache
def paint_spectra(count: int, seed: int) -> Floats:
    """``(n, 36)``: mixes of two or three tubes."""
    rng = np.random.default_rng(seed + 1000)
    known = {name: tube.paint for name, tube in tubes().items()}
    names, whites = list(known), [name for name, tube in tubes().items() if tube.white]
    mixes = []
    for number in range(count):
        chosen = {str(each): float(rng.integers(1, 5)) for each in rng.choice(names, 2, replace=False)}
        if number % 4:
            chosen[whites[0]] = float(rng.integers(1, 12))
        mixes.append(np.asarray(predict(known, chosen)))
    return np.array(mixes)


def coded(light: Floats, tone: float) -> Floats:
    """sRGB codes 0-1 after a camera's curve of contrast, clipped."""
    codes = encode_srgb(np.clip(light, 0, 1))
    return np.clip(codes + tone * (codes - 0.5) * codes * (1 - codes) * 4, 0, 1)


@cache
def photograph(shown: Case, *, fall_off: float = 0.0, quality: int = 93) -> Photo:
    """The chart left, the paints right as squares on a white canvas, 1200 by 800. ``fall_off``: natural logarithm by
    which the light falls from the left to the right of the picture."""
    board = shown.shot.exposure * camera_colour(np.full((1, len(WAVELENGTHS)), 0.45), shown.shot)[0]
    picture = np.tile(board, (800, 1200, 1))
    cv2.rectangle(picture, (40, 180), (460, 470), (0.03, 0.03, 0.03), -1)
    card = shown.shot.exposure * camera_colour(chart_spectra(shown.edition), shown.shot)
    for number, light in enumerate(card):
        row, column = divmod(number, 6)
        x, y = 60 + column * (_PATCH + _GAP), 198 + row * (_PATCH + _GAP)
        cv2.rectangle(picture, (x, y), (x + _PATCH, y + _PATCH), tuple(float(each) for each in light), -1)
    cv2.rectangle(picture, (520, 60), (1140, 740), tuple(float(2 * each) for each in board), -1)
    paints = shown.shot.exposure * camera_colour(paint_spectra(shown.paints, shown.seed), shown.shot)
    for number, light in enumerate(paints):
        x, y = paint_at(number)
        cv2.rectangle(picture, (x - 40, y - 40), (x + 40, y + 40), tuple(float(each) for each in light), -1)
    light_over = np.exp(fall_off * (0.5 - np.arange(1200) / 1199))[None, :, None]
    rng = np.random.default_rng(shown.shot.seed)
    picture = cv2.GaussianBlur(picture, (0, 0), 0.8) * light_over + shown.shot.exposure * shown.shot.veil
    picture += shown.shot.noise * np.sqrt(np.clip(picture, 0, None) + 0.002) * rng.normal(size=picture.shape)
    held = io.BytesIO()
    codes = np.rint(255 * coded(picture, shown.shot.tone)).astype(np.uint8)
    Image.fromarray(codes).save(held, "JPEG", quality=quality, subsampling=2)
    return load_photo_bytes(held.getvalue(), "with a card.jpg")


@cache
def corrected() -> tuple[Case, Photo, CardCorrection]:
    """A case, its photo, and the correction by the card found in it."""
    shown = case(206)
    photo = photograph(shown)
    found = card_correction(photo, canvas_px=CANVAS)
    assert found is not None
    return shown, photo, found


def paint_at(number: int) -> tuple[int, int]:
    """The middle of one paint in the photo, px."""
    row, column = divmod(number, 5)
    return 590 + column * 118, 130 + row * 135


def read_paints(light: NDArray[np.float32], count: int) -> Floats:
    """Mean of the middle of each paint, ``(n, 3)``."""
    places = [paint_at(number) for number in range(count)]
    return np.array([light[y - 20 : y + 20, x - 20 : x + 20].mean(axis=(0, 1)) for x, y in places])


def _curve(told: "colour.SpectralDistribution") -> tuple[Floats, Floats]:
    return told.wavelengths, told.values


def _decoded(codes: Floats) -> Floats:
    from core.colorimetry import decode_srgb

    return decode_srgb(codes)
