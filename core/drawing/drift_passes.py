"""Coarse to fine: the canvas is drawn back by the drift found so far, looked at again more closely, and so on.

Lengths are in units, one unit being 1 mm on a canvas of 400 × 300 mm and in proportion to other canvases: strokes and
forms grow with the canvas, and so does what the photo can show.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_brushwork import presence, suited
from core.drawing.drift_confidence import sigmas
from core.drawing.drift_features import Plane, directions, outline_channels, shrunk
from core.drawing.drift_field import Evidence, doubt, pliant_field, settled_field, together
from core.drawing.drift_grid import Grid
from core.drawing.drift_match import Readings, Window, read_windows
from core.drawing.drift_repeats import distinctness
from core.drawing.drift_whole import WholeDrift, fit_whole
from core.size import Size

Array = NDArray[np.float64]
LUMINANCE, COLOUR = slice(0, 1), slice(1, 3)
Progress = Callable[[float, str], None]

HONEST = 4.0
"""Windows tell this much more than is counted on: found on paintings whose drift is known, where 1 is far too timid."""
TIMID = 0.32
"""Share of the reckoned variance that errors come to, once enough of the canvas agrees that this is the picture."""
NEAR, FAR = 40.0, 120.0
"""How far readings are trusted, a range in units: where the picture is not found, and where it is."""
KNOWN = 0.6
"""Sigma in units below which a place counts as measured."""
LEAST_KNOWN = 0.04
"""With less than this share of the canvas measured, nothing is said of the whole."""
SCARCE = 0.1
"""With less than this share of the canvas measured by light, outlines are tried."""
PLACES = 25.0
"""Local drift goes together over about a fifth of each side: so many places of a canvas speak on their own."""


@dataclass(frozen=True)
class Look:
    """One pass: resolution as a share of the finest, and lengths in units."""

    share: float
    search: float
    detail: float
    window: float
    step: float
    apart: bool = False
    """Whether luminance and colour are matched apart, each with its own likeness."""


LOOKS = (
    Look(1 / 2, 3.0, 2.0, 5.0, 6.0),
    Look(1 / 2, 1.0, 2.0, 3.5, 6.0, apart=True),
)
"""What follows the first look, which searches as far as is asked for."""
CLOSE = Look(1, 0.5, 0.8, 2.5, 6.0, apart=True)
BROAD = Look(1 / 2, 1.0, 3.0, 5.0, 6.0)
"""The last two, of the same nodes and from the same start: for fine and for broad brushwork."""


@dataclass(frozen=True)
class Pair:
    """Log channels of the reference and of the canvas at the finest resolution, and what is seen of the canvas."""

    size: Size
    px_per_mm: float
    reference: tuple[Plane, ...]
    canvas: tuple[Plane, ...]
    seen: Plane

    @property
    def unit(self) -> float:
        """Length of a unit in mm."""
        return 2.0 / self.px_per_mm


@dataclass(frozen=True)
class Measured:
    """Drift at the nodes ``(h, w, 2)``, its covariance ``(h, w, 3)``, and the whole drawing's part of it.

    ``known``: the share of the canvas that could be measured.
    """

    grid: Grid
    drift: Array
    covariance: Array
    whole: WholeDrift
    known: float


def measured(pair: Pair, *, search_mm: float, progress: Progress | None = None) -> Measured:
    """Drift of the canvas against the reference at every node of the finest grid.

    By light and colour; and where those tell next to nothing, as when only the drawing is on the canvas, by outlines.
    """
    tell = progress or (lambda share, doing: None)
    by_light = _measured(pair, search_mm, tell)
    if by_light.known >= SCARCE:
        return by_light
    by_outline = _measured(_outlined(pair), search_mm, lambda share, doing: tell(0.8 + share / 5, doing))
    return by_outline if by_outline.known > by_light.known else by_light


def _measured(pair: Pair, search_mm: float, tell: Progress) -> Measured:
    grid, start = _approached(pair, search_mm, tell)
    unit = pair.unit
    tell(0.8, "comparing the drawing")
    close, (broad,) = (_readings(pair, look, grid, start) for look in (CLOSE, BROAD))
    pliant, evidence = _believed(grid, suited(close, broad), unit)
    distinct = distinctness(pair.reference[LUMINANCE], grid, pair.px_per_mm, unit)
    evidence = evidence.counted(HONEST * distinct)
    unsure = _unsure(grid, evidence, presence(broad) * distinct, unit)
    known = float(np.mean(sigmas(unsure)[0] < KNOWN * unit))
    whole, timid = WholeDrift(pair.size), 1.0
    if known > LEAST_KNOWN:
        whole, timid = _whole(grid, evidence, close[0].overlap, places=PLACES * known), TIMID
    settled = settled_field(grid, evidence, whole.at(grid.nodes_mm), pliant, unit)
    return Measured(grid, settled, timid * (unsure + _square(settled - pliant)), whole, known)


def _unsure(grid: Grid, evidence: Evidence, present: Array, unit: float) -> Array:
    """Covariance ``(h, w, 3)``: where the picture is present, ``(h, w)`` 0-1, neighbours vouch for one another."""
    near, far = (doubt(grid, evidence.information, unit, reach=reach) for reach in (NEAR, FAR))
    return np.asarray(near + present[..., None] * (far - near))


def _outlined(pair: Pair) -> Pair:
    reference, canvas = (
        outline_channels(channels[0], pair.px_per_mm, pair.unit) for channels in (pair.reference, pair.canvas)
    )
    return replace(pair, reference=reference, canvas=canvas)


def _approached(pair: Pair, search_mm: float, tell: Progress) -> tuple[Grid, Array]:
    """All looks but the last: the grid of the last, and where it starts, ``(h, w, 2)``.

    The first look is taken twice: once for the shift, turn and scale of the whole, and again from there, so that what
    lies beyond the search at a far corner is found too.
    """
    first = Look(1 / 4, search_mm / pair.unit, 3.2, 9.0, 8.0)
    grid = Grid.of(pair.size, first.step * pair.unit)
    field = np.zeros((grid.height, grid.width, 2))
    for number, look in enumerate((first, first, *LOOKS)):
        tell(number / (len(LOOKS) + 3), "comparing the drawing")
        finer = Grid.of(pair.size, look.step * pair.unit)
        readings = _readings(pair, look, finer, grid.onto(field, finer))
        grid = finer
        field, evidence = _believed(grid, readings, pair.unit)
        if number == 0:
            field = _whole(grid, evidence, readings[0].overlap).at(grid.nodes_mm)
    return grid, field


def _believed(grid: Grid, readings: Sequence[Readings], unit: float) -> tuple[Array, Evidence]:
    """A pliant field ``(h, w, 2)`` through readings, and what they say together without the strays."""
    field, weights = pliant_field(grid, readings, unit)
    return field, together(readings, weights)


def _square(difference: Array) -> Array:
    """Outer squares ``(h, w, 3)``: where the stiff and the pliant field differ, one of them is that far out."""
    x, y = np.moveaxis(difference, -1, 0)
    return np.stack([x * x, x * y, y * y], axis=-1)


def _whole(grid: Grid, evidence: Evidence, overlap: float, *, places: float = PLACES) -> WholeDrift:
    drift, information = evidence.drift.reshape(-1, 2), evidence.information.reshape(-1, 3)
    return fit_whole(grid.nodes_mm.reshape(-1, 2), drift, overlap * information, grid.size, places=places)


def _readings(pair: Pair, look: Look, grid: Grid, start: Array) -> tuple[Readings, ...]:
    px_per_mm, unit = pair.px_per_mm * look.share, pair.unit
    width, height = round(pair.size.width_mm * px_per_mm), round(pair.size.height_mm * px_per_mm)
    canvas, seen = _drawn_back(pair, grid.resampled(start, width, height) * np.float32(px_per_mm))
    reference = tuple(shrunk(channel, width, height) for channel in pair.reference)
    detail = look.detail * unit
    window = Window(
        px_per_mm,
        search_px=max(1, round(look.search * unit * px_per_mm)),
        sigma_mm=look.window * unit,
        stroke_mm2=2 * np.pi * (detail**2 + unit**2),
    )

    def read(part: slice) -> Readings:
        mine, theirs = (directions(channels[part], px_per_mm, detail) for channels in (reference, canvas))
        found = read_windows(mine, theirs, seen, grid, window)
        return replace(found, drift=found.drift + start)

    parts: Sequence[slice] = (LUMINANCE, COLOUR) if look.apart else (slice(0, 3),)
    return tuple(read(part) for part in parts)


def _drawn_back(pair: Pair, flow_px: Plane) -> tuple[tuple[Plane, ...], Plane]:
    """The canvas's channels where the reference has them, and what of them is seen (0 or 1)."""
    height, width = flow_px.shape[:2]
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    at = (x + flow_px[..., 0], y + flow_px[..., 1])
    channels = tuple(
        cv2.remap(shrunk(channel, width, height), *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for channel in pair.canvas
    )
    seen = cv2.remap(shrunk(pair.seen, width, height), *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
    return channels, (seen > 0.99).astype(np.float32)
