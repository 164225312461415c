"""A swatch card printed, painted and photographed: spectra, a camera's own sensitivities, and light that is not even.

The page is the real PDF, rendered. Paint lies over it as a film of known thickness, so that a thin one shows the bar.
The camera is one of two measured ones (National Physical Laboratory, by colour-science) or a changed one of them, with
a matrix to sRGB fitted to a colour chart in one light, as cameras have.
"""

import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.colorimetry import decode_srgb, encode_srgb
from core.paint import swatch_card as card
from core.paint.paint import Mixture
from core.paint.spectrum import WAVELENGTHS, linear_rgb
from core.paint.swatch_page import block_at, swatch_page_bytes
from core.photo import Photo, load_photo_bytes
from core.size import PAPERS
from tests.published.libraries import colour

Floats = NDArray[np.float64]
Linear = NDArray[np.float32]

PX_PER_MM = 6.0
_FINER, _LEVELS = 2, 2001
LIGHTS = ("D50", "D55", "D65", "D75", "LED-B4", "LED-B5")


@dataclass(frozen=True)
class Printer:
    """``dot_gain``: power of the grey scale's light; ``black``: what full black reflects of the paper's light."""

    dot_gain: float = 1.0
    black: float = 0.05
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    paper: float = 0.9
    brightener: float = 0.03


@dataclass(frozen=True)
class Sensor:
    """Which camera, its sensitivities moved by ``shift_nm`` and widened by ``widen``."""

    name: str = "Nikon 5100 (NPL)"
    shift_nm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    widen: float = 1.0


@dataclass(frozen=True)
class Shot:
    """How the photo was taken."""

    sensor: Sensor = Sensor()
    light: str = "D65"
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    exposure: float = 0.75
    """Linear light of the perfect diffuser in the middle."""
    fall_off: float = 1.25
    """Brightest over darkest place of the card."""
    from_deg: float = 30.0
    bend: float = 0.03
    tone: float = 0.0
    """Strength of an S-shaped curve of contrast."""
    veil: float = 0.0
    """Stray light, of the perfect diffuser's."""
    gloss: float = 0.004
    """What the painted squares mirror evenly."""
    shine: tuple[tuple[float, float, float], ...] = ()
    """Spots that shine: x, y and radius, mm of the block."""
    shadow: float = 0.0
    """Share of the light that a shadow over the left half takes away."""
    blur_px: float = 0.8
    noise: float = 0.004
    width: int = 2400
    height: int = 1800
    fill: float = 0.85
    tilt: float = 0.04
    turn_deg: float = 0.0
    off: tuple[float, float] = (0.0, 0.0)
    """How far the block's middle lies off the picture's, as a share of its sides."""
    seed: int = 0


@dataclass(frozen=True)
class Painted:
    """``squares``: what lies in each square, by its name; ``thickness`` of the film in which the white scatters 1 per
    unit. ``streaks``: unevenness of the paint. ``unmixed``: share of a streak of the tube alone in the tints."""

    squares: Mapping[str, Mixture]
    thickness: float = 60.0
    streaks: float = 0.012
    unmixed: float = 0.0
    grey_card: float | None = None
    printer: Printer = Printer()
    paper: str = "A4"
    left_out: tuple[str, ...] = ()
    covered: tuple[int, ...] = ()
    """Corner marks that something hides."""


def photograph(painted: Painted, shot: Shot) -> Photo:
    """The photo, as it comes from its JPEG file."""
    return load_photo_bytes(jpeg(painted, shot), "swatch.jpg")


def jpeg(painted: Painted, shot: Shot, quality: int = 92) -> bytes:
    """The photo's file."""
    rng = np.random.default_rng(shot.seed)
    page = _page(painted, shot, rng)
    to_px = _homography(painted, shot, rng)
    scale = np.array([[1 / PX_PER_MM, 0, 0.5 / PX_PER_MM], [0, 1 / PX_PER_MM, 0.5 / PX_PER_MM], [0, 0, 1]])
    size = (shot.width, shot.height)
    seen = cv2.warpPerspective(page, to_px @ scale, size, flags=cv2.INTER_LINEAR)
    inside = cv2.warpPerspective(np.ones(page.shape[:2], np.float32), to_px @ scale, size, flags=cv2.INTER_LINEAR)
    table = np.float32(0.22) * _camera_rgb(np.full((1, len(WAVELENGTHS)), 1.0), shot)[0].astype(np.float32)
    table = table * (1 + 0.1 * cv2.resize(rng.normal(size=(40, 50, 1)).astype(np.float32), size))[..., None]
    picture = seen + (1 - inside[..., None]) * table
    light, shine = _light(to_px, painted, shot)
    picture = picture * light[..., None] + shine[..., None]
    picture = cv2.GaussianBlur(picture + np.float32(shot.veil), (0, 0), max(shot.blur_px, 0.3))
    picture = shot.exposure * picture
    noise = shot.noise * np.sqrt(np.clip(picture, 0, None) + 0.002)
    picture = picture + noise * rng.normal(size=picture.shape).astype(np.float32)
    held = io.BytesIO()
    Image.fromarray(_coded(picture, shot.tone)).save(held, "JPEG", quality=quality, subsampling=2)
    return held.getvalue()


def _coded(light: Linear, tone: float) -> NDArray[np.uint8]:
    """sRGB codes, by way of the root, of which 4096 steps are fine enough everywhere."""
    coded = encode_srgb(np.linspace(0, 1, 4096) ** 2)
    coded = coded + tone * (coded - 0.5) * coded * (1 - coded) * 4
    table = np.rint(255 * np.clip(coded, 0, 1)).astype(np.uint8)
    return table[np.rint(4095 * np.sqrt(np.clip(light, 0, 1))).astype(np.intp)]


def camera_colour(reflectance: Floats, shot: Shot) -> Floats:
    """Linear light ``(…, 3)`` that the camera makes of a reflectance in even light, the perfect diffuser 1, 1, 1."""
    return _camera_rgb(np.atleast_2d(reflectance), shot).reshape(*np.shape(reflectance)[:-1], 3)


@cache
def light_of(name: str) -> Floats:
    """Relative power ``(36,)`` at ``WAVELENGTHS``."""
    told = colour.SDS_ILLUMINANTS[name]
    power = np.interp(WAVELENGTHS, told.wavelengths, told.values)
    return np.asarray(power / power.mean())


@cache
def sensitivities(sensor: Sensor) -> Floats:
    """``(36, 3)`` at ``WAVELENGTHS``; 0 where the camera was not measured."""
    told = colour.MSDS_CAMERA_SENSITIVITIES[sensor.name]
    columns = []
    for channel, shift in enumerate(sensor.shift_nm):
        values = told.values[:, channel]
        middle = float((told.wavelengths * values).sum() / values.sum())
        at = middle + (WAVELENGTHS - shift - middle) / sensor.widen
        columns.append(np.interp(at, told.wavelengths, values, left=0.0, right=0.0))
    return np.stack(columns, axis=1)


@cache
def matrix_of(sensor: Sensor) -> Floats:
    """``(3, 3)`` from balanced camera light to linear sRGB, by the 24 patches of a chart in D55; keeps white white."""
    chart = colour.SDS_COLOURCHECKERS["ISO 17321-1"]
    spectra = np.array([np.interp(WAVELENGTHS, sd.wavelengths, sd.values) for sd in chart.values()])
    raw = _balanced(spectra, sensor, "D55")
    wanted = linear_rgb(spectra)
    # Rows add to 1: two unknowns to a row.
    rows = []
    for channel in range(3):
        terms = raw[:, :2] - raw[:, 2:]
        weight = 1 / (wanted[:, channel] + 0.1)
        two = np.linalg.lstsq(terms * weight[:, None], (wanted[:, channel] - raw[:, 2]) * weight, rcond=None)[0]
        rows.append([*two, 1 - two.sum()])
    return np.array(rows)


def _balanced(spectra: Floats, sensor: Sensor, light: str) -> Floats:
    weights = sensitivities(sensor) * light_of(light)[:, None]
    return np.asarray(spectra @ weights / weights.sum(axis=0))


def _camera_rgb(spectra: Floats, shot: Shot) -> Floats:
    raw = _balanced(spectra, shot.sensor, shot.light) * np.asarray(shot.balance)
    return np.asarray(raw @ matrix_of(shot.sensor).T)


@cache
def _rendered(paper: str) -> NDArray[np.intp]:
    """The page's greys as linear light, in ``_LEVELS`` steps."""
    import pypdfium2

    document = pypdfium2.PdfDocument(swatch_page_bytes(paper=paper, tube_name="A tube", white_name="A white"))
    # PDFium fills every pixel that a rectangle touches, so that it is asked for more of them.
    fine = document[0].render(scale=_FINER * PX_PER_MM * 25.4 / 72, grayscale=True).to_numpy()
    document.close()
    light = np.asarray(decode_srgb(np.arange(256) / 255), dtype=np.float32)[fine.reshape(fine.shape[:2])]
    size = PAPERS[paper]
    wide, high = (round(side * PX_PER_MM) for side in (size.width_mm, size.height_mm))
    small = cv2.resize(light, (wide, high), interpolation=cv2.INTER_AREA)
    return np.rint(small * (_LEVELS - 1)).astype(np.intp)


def _page(painted: Painted, shot: Shot, rng: np.random.Generator) -> Linear:
    printer = painted.printer
    grey = _rendered(painted.paper)
    level = np.linspace(0, 1, _LEVELS)[:, None]
    tone = printer.black + (1 - printer.black) * level**printer.dot_gain
    coloured = 1 + (np.asarray(printer.tint) - 1) * 4 * level * (1 - level)
    paper_rgb = _camera_rgb(paper_of(printer)[None], shot)[0]
    page = (tone * coloured * paper_rgb).astype(np.float32)[grey]
    left, top = block_at(PAPERS[painted.paper])
    for square in card.SQUARES:
        if square.name not in painted.left_out:
            _paint(page, painted, square, (left, top), shot, rng)
    for corner in painted.covered:
        rect = card.mark_rects()[corner]
        _part(page, card.Rect(rect.left - 3, rect.top + 8, 14, 18), (left, top))[:] = 0.3
    if painted.grey_card is not None:
        place = card.CARD_PLACE
        grey_card = card.Rect(place.left + 2, place.top + 0.5, place.width - 4, 80.0)
        value = _camera_rgb(np.full((1, len(WAVELENGTHS)), painted.grey_card), shot)[0]
        _part(page, grey_card, (left, top))[:] = value
    return page


def paper_of(printer: Printer) -> Floats:
    """Reflectance ``(36,)`` of the paper: brightened in the blue, dark below 420 nm."""
    blue = printer.brightener * np.exp(-(((WAVELENGTHS - 440) / 25) ** 2))
    return np.asarray(printer.paper / (1 + np.exp(-(WAVELENGTHS - 402) / 8)) + blue)


def _part(page: Linear, rect: card.Rect, origin: tuple[float, float]) -> Linear:
    x, y = ((at + o) * PX_PER_MM for at, o in zip((rect.left, rect.top), origin, strict=True))
    return page[round(y) : round(y + rect.height * PX_PER_MM), round(x) : round(x + rect.width * PX_PER_MM)]


def _paint(
    page: Linear,
    painted: Painted,
    square: card.Square,
    origin: tuple[float, float],
    shot: Shot,
    rng: np.random.Generator,
) -> None:
    """A film of paint with a hand-drawn edge."""
    margin = 2.0
    around = square.rect.inset(-margin)
    under = _part(page, around, origin)
    high, wide = under.shape[:2]
    y, x = np.mgrid[0:high, 0:wide] / PX_PER_MM - margin
    edge = np.minimum(np.minimum(x, square.rect.width - x), np.minimum(y, square.rect.height - y))
    wander = cv2.resize(rng.normal(size=(12, 12)).astype(np.float32), (wide, high), interpolation=cv2.INTER_CUBIC)
    cover = np.clip((edge + 0.5 * wander - 0.2) * 3, 0, 1)[..., None].astype(np.float32)
    mix = painted.squares[square.name]
    paper = paper_of(painted.printer)
    over = [mix.over(ground, painted.thickness) for ground in (paper, painted.printer.black * paper)]
    on_paper, on_black = (_camera_rgb(each[None], shot)[0] + shot.gloss for each in over)
    bar = (np.abs(x - square.rect.width / 2) < card.BAR_MM / 2)[..., None]
    film = np.where(bar, on_black, on_paper)
    if painted.unmixed and 0 < square.share < 1:
        raw = _camera_rgb(painted.squares["tube alone"].thick()[None], shot)[0]
        streak = cv2.resize(rng.normal(size=(6, 12)), (wide, high), interpolation=cv2.INTER_CUBIC) > 0.3
        film = film + painted.unmixed * streak[..., None] * (raw - film)
    brush = cv2.resize(rng.normal(size=(4, 60)).astype(np.float32), (wide, high), interpolation=cv2.INTER_LINEAR)
    film = film * (1 + painted.streaks * brush)[..., None]
    under[:] = under + cover * (film - under)


def _homography(painted: Painted, shot: Shot, rng: np.random.Generator) -> Floats:
    """Paper mm to picture px: the block fills ``fill`` of the picture, turned and tilted."""
    left, top = block_at(PAPERS[painted.paper])
    block = np.array([[0, 0], [card.WIDTH_MM, 0], [card.WIDTH_MM, card.HEIGHT_MM], [0, card.HEIGHT_MM]], dtype=float)
    turn = np.deg2rad(shot.turn_deg + rng.normal(0, 1.5))
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    held = (block - block.mean(axis=0)) @ spin.T * (1 + rng.uniform(-shot.tilt, shot.tilt, (4, 1)))
    size = np.array([shot.width, shot.height])
    held *= shot.fill * (size / np.ptp(held, axis=0)).min()
    held += size * (0.5 + np.asarray(shot.off)) + rng.uniform(-0.02, 0.02, 2) * size * (1 - shot.fill)
    paper = (block + np.array([left, top])).astype(np.float32)
    return np.asarray(cv2.getPerspectiveTransform(paper, held.astype(np.float32)), dtype=np.float64)


def _light(to_px: Floats, painted: Painted, shot: Shot) -> tuple[Linear, Linear]:
    """The strength of the light ``(H, W)``, which falls off along one way with a bend, and what shines beside it."""
    to_mm = np.linalg.inv(to_px)
    y, x = np.mgrid[0 : shot.height : 8, 0 : shot.width : 8].astype(np.float64)
    depth = to_mm[2, 0] * x + to_mm[2, 1] * y + to_mm[2, 2]
    left, top = block_at(PAPERS[painted.paper])
    u = (to_mm[0, 0] * x + to_mm[0, 1] * y + to_mm[0, 2]) / depth - left
    v = (to_mm[1, 0] * x + to_mm[1, 1] * y + to_mm[1, 2]) / depth - top
    way = np.array([np.cos(np.deg2rad(shot.from_deg)), np.sin(np.deg2rad(shot.from_deg))])
    along = ((u - card.WIDTH_MM / 2) * way[0] + (v - card.HEIGHT_MM / 2) * way[1]) / (card.WIDTH_MM / 2)
    out = ((u - card.WIDTH_MM / 2) ** 2 + (v - card.HEIGHT_MM / 2) ** 2) / (card.WIDTH_MM / 2) ** 2
    field = np.exp(np.clip(0.5 * np.log(shot.fall_off) * along - shot.bend * out, -1.5, 1.0))
    field *= 1 - shot.shadow / (1 + np.exp((u - card.WIDTH_MM / 2) / 3.0))
    spots = [np.exp(-(((u - sx) ** 2 + (v - sy) ** 2) / radius**2)) for sx, sy, radius in shot.shine]
    shine = 2.5 * np.sum([np.zeros_like(field), *spots], axis=0)
    wide, high = shot.width, shot.height
    light, mirrored = (cv2.resize(each.astype(np.float32), (wide, high)) for each in (field, shine))
    return np.asarray(light), np.asarray(mirrored)


def place_of(painted: Painted, shot: Shot, places_mm: Floats) -> Floats:
    """Where places ``(n, 2)`` mm of the block lie in the photo, px."""
    rng = np.random.default_rng(shot.seed)
    _page(painted, shot, rng)  # draws the paint's edges first, as for the photo
    matrix = _homography(painted, shot, rng)
    lifted = (places_mm + np.array(block_at(PAPERS[painted.paper]))) @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(lifted[:, :2] / lifted[:, 2:])
