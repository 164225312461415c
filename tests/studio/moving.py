"""A moving camera before the easel: frames one after another, with the canvas's corners known in each.

A wall with texture at a distance, a mast and a ledge of an easel, the canvas with its side walls and the tabs are flat
layers at their depths, drawn once; each frame warps them by its camera's homographies and adds motion blur, gain and
noise. Tabs and camera are those of :mod:`tests.studio.tabbed`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import straighten
from core.colorimetry import encode_srgb
from core.frames.frame import Frame
from core.tabs_page import PIECE_MM, square_at
from tests.studio import tabbed as t

Floats = NDArray[np.float64]
Light = NDArray[np.float32]
Cover = tuple[tuple[tuple[float, float], ...], float]

RATE_HZ = 30.0
VIEW = t.View(1280, 720, fill=0.6, yaw_deg=4.0, pitch_deg=3.0, jpeg=None)
_MARGIN_MM = 90.0
_WALL_MM, _MAST_MM, _DEEP_MM, _BEFORE_MM = 450.0, 40.0, 18.0, -40.0
_SHUTTER = 0.5
"""Share of the time between two frames in which the camera gathers light."""


@dataclass(frozen=True)
class Surround:
    """What lies about the canvas. ``wall, side``: light of the wall and of the canvas's side walls; ``texture`` of the
    wall; ``easel``: whether a mast and a ledge are there."""

    wall: float = 0.35
    side: float = 0.5
    texture: float = 0.12
    easel: bool = True
    seed: int = 0


@dataclass(frozen=True)
class Moment:
    """One frame. ``covers``: as of :class:`tests.studio.tabbed.Scene`. ``gain``: of the light. ``painted``: share of
    the strokes that change the picture, 0-1."""

    view: t.View = VIEW
    covers: tuple[Cover, ...] = ()
    gain: float = 1.0
    painted: float = 0.0


@dataclass(frozen=True, eq=False)
class _Layer:
    """``light, cover`` ``(h, w)`` float32 of a flat thing ``behind_mm`` the face, from ``corner_mm`` on."""

    light: Light
    cover: Light | None
    corner_mm: tuple[float, float]
    px_per_mm: float
    behind_mm: float


@dataclass(eq=False)
class Stage:
    """The layers of a scene, drawn once for views of about the same nearness."""

    scene: t.Scene
    surround: Surround = field(default_factory=Surround)
    near: t.View = VIEW

    def __post_init__(self) -> None:
        w, h = self.scene.size.width_mm, self.scene.size.height_mm
        self._finest = self.near.fill * min(self.near.width / w, self.near.height / h)
        self._rng = np.random.default_rng(self.surround.seed)
        self._noise = self._rng.standard_normal((self.near.height + 64, self.near.width + 64), dtype=np.float32)
        self._wall, self._mast, self._sides = self._wall_layer(), self._mast_layer(), self._side_layer()
        self._faces: dict[float, _Layer] = {}
        self._lens: dict[float, tuple[Light, Light]] = {}

    def light(self, moment: Moment) -> Light:
        """Light on the sensor ``(H, W)``, in sharp focus and without noise."""
        view = moment.view
        light = np.full((view.height, view.width), self.surround.wall, np.float32)
        light = self._laid(light, self._wall, view)
        if self.surround.easel:
            light = self._laid(light, self._mast, view)
        light = self._laid(self._laid(light, self._sides, view), self._face(moment.painted), view)
        if view.k1:
            light = cv2.remap(light, *self._bent(view), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for polygon, tone in moment.covers:
            flat = np.array(polygon)
            outline = t.seen_at(self.scene, view, np.column_stack([flat, np.full(len(flat), _BEFORE_MM)]))
            cv2.fillPoly(light, [np.rint(outline * 16).astype(np.int32)], tone, cv2.LINE_8, 4)
        return np.asarray(light)

    def codes(self, moment: Moment, shake: Floats, rng: np.random.Generator) -> NDArray[np.uint8]:
        """sRGB codes ``(H, W, 3)`` uint8. ``shake``: ``(2,)`` px that the picture moves while light is gathered."""
        light = self.light(moment)
        length = float(np.hypot(*shake))
        if length > 0.3:
            kernel = t._shake(length, float(np.degrees(np.arctan2(shake[1], shake[0]))))
            light = cv2.filter2D(light, -1, kernel, borderType=cv2.BORDER_REPLICATE)
        view = moment.view
        light = np.clip(light * np.float32(view.exposure * moment.gain), 0, 1)
        down, right = rng.integers(0, 64, 2)
        grain = self._noise[down : down + view.height, right : right + view.width]
        light += np.float32(view.noise) * cv2.sqrt(light + np.float32(0.01)) * (grain if rng.random() < 0.5 else -grain)
        steps = cv2.sqrt(np.clip(light, 0, 1)) * np.float32(4095) + np.float32(0.5)
        return np.asarray(cv2.merge([_TABLE[steps.astype(np.uint16)]] * 3))

    def _laid(self, light: Light, layer: _Layer, view: t.View) -> Light:
        camera = t._camera(self.scene, view)
        flat = np.column_stack([camera[:, 0], camera[:, 1], camera[:, 3] + layer.behind_mm * camera[:, 2]])
        a, (x, y) = 1 / layer.px_per_mm, layer.corner_mm
        to_photo = flat @ np.array([[a, 0, x + a / 2], [0, a, y + a / 2], [0, 0, 1]])
        rows, columns = layer.light.shape
        ends = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]]) @ to_photo[:, :2].T + to_photo[:, 2]
        seen = ends[:, :2] / ends[:, 2:]
        low = np.clip(np.floor(seen.min(axis=0)).astype(int) - 1, 0, [view.width, view.height])
        high = np.clip(np.ceil(seen.max(axis=0)).astype(int) + 2, 0, [view.width, view.height])
        if (high <= low).any():
            return light
        moved = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1.0]]) @ to_photo
        box = tuple((high - low).tolist())
        tone = cv2.warpPerspective(layer.light, moved, box, flags=cv2.INTER_LINEAR)
        part = light[low[1] : high[1], low[0] : high[0]]
        if layer.cover is None:
            part[:] = tone
        else:
            # The light is already multiplied by its cover.
            part *= 1 - cv2.warpPerspective(layer.cover, moved, box, flags=cv2.INTER_LINEAR)
            part += tone
        return light

    def _wall_layer(self) -> _Layer:
        w, h = self.scene.size.width_mm, self.scene.size.height_mm
        wide, scale = 2600.0, 0.5 * self._finest
        side = round(wide * scale)
        light = np.full((side, side), self.surround.wall, np.float32)
        for cells in (20, 90, 400):
            rough = self._rng.normal(size=(cells, cells)).astype(np.float32)
            light *= 1 + np.float32(self.surround.texture / 2) * cv2.resize(rough, (side, side))
        for _ in range(40 if self.surround.texture > 0.05 else 0):
            x, y = self._rng.uniform(0, side, 2)
            half = self._rng.uniform(8, 60, 2) * scale
            tone = float(self.surround.wall * self._rng.uniform(0.5, 1.5))
            cv2.rectangle(light, (int(x - half[0]), int(y - half[1])), (int(x + half[0]), int(y + half[1])), tone, -1)
        light = cv2.GaussianBlur(np.clip(light, 0.02, 1), (0, 0), 0.8)
        return _Layer(np.asarray(light), None, (w / 2 - wide / 2, h / 2 - wide / 2), scale, _WALL_MM)

    def _mast_layer(self) -> _Layer:
        """A mast behind the canvas and the ledge that it stands on."""
        w, h = self.scene.size.width_mm, self.scene.size.height_mm
        scale = self._finest
        wide, tall = round((w + 120) * scale), round((h + 700) * scale)
        light, cover = np.zeros((tall, wide), np.float32), np.zeros((tall, wide), np.float32)
        middle, ledge = wide // 2, round((350 + h + 3) * scale)
        for part in (np.s_[:, middle - round(28 * scale) : middle + round(28 * scale)],
                     np.s_[ledge : ledge + round(30 * scale), :]):  # fmt: skip
            light[part], cover[part] = 0.16, 1.0
        light *= 1 + 0.15 * cv2.resize(self._rng.normal(size=(90, 60)).astype(np.float32), (wide, tall))
        return _soft(light, cover, (-60.0, -350.0), scale, _MAST_MM)

    def _side_layer(self) -> _Layer:
        """The canvas's side walls, with staples, as far as they are seen past its face."""
        w, h = self.scene.size.width_mm, self.scene.size.height_mm
        scale = 2 * self._finest
        light = np.full((round((h + 8) * scale), round((w + 8) * scale)), 0.0, np.float32)
        cover = np.zeros_like(light)
        edge = round(4 * scale)
        light[edge:-edge, edge:-edge], cover[edge:-edge, edge:-edge] = self.surround.side, 1.0
        for at in np.arange(30, w, 45.0):
            x = round((4 + at) * scale)
            light[edge : edge + 6, x : x + round(8 * scale)] = 0.75
            light[-edge - 6 : -edge, x : x + round(8 * scale)] = 0.75
        return _soft(light, cover, (-4.0, -4.0), scale, _DEEP_MM)

    def _face(self, painted: float) -> _Layer:
        """Canvas and tabs, at twice the frames' fineness: bilinear reading then keeps edges where they are."""
        if painted in self._faces:
            return self._faces[painted]
        w, h = self.scene.size.width_mm, self.scene.size.height_mm
        scale, margin = 2 * self._finest, _MARGIN_MM
        size = (round((w + 2 * margin) * scale), round((h + 2 * margin) * scale))
        light, cover = (np.zeros(size[::-1], np.float32) for _ in range(2))
        picture = _with_strokes(t._painting(self.scene), painted)
        _place(light, cover, picture, np.array([[0, 0], [w, 0], [w, h], [0, h]]), scale)
        for stuck in self.scene.tabs:
            if stuck.shown:
                own = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * np.array(PIECE_MM)
                at = t._on_canvas(self.scene, stuck, own - np.array(square_at(stuck.corner)))
                _place(light, cover, t._piece(stuck.corner), at, scale)
        layer = _soft(light, cover, (-margin, -margin), scale, 0.0)
        self._faces[painted] = layer
        return layer

    def _bent(self, view: t.View) -> tuple[Light, Light]:
        """Where in the straight picture each pixel of the lens's looks."""
        if view.k1 not in self._lens:
            x, y = np.meshgrid(np.arange(view.width), np.arange(view.height))
            at = straighten(np.stack([x, y], axis=-1), view.k1, view.width, view.height).astype(np.float32)
            self._lens[view.k1] = np.ascontiguousarray(at[..., 0]), np.ascontiguousarray(at[..., 1])
        return self._lens[view.k1]


def frames(
    scene: t.Scene | Stage, path: Sequence[Moment], *, seed: int = 0, first: int = 0
) -> Iterator[tuple[Frame, Floats]]:
    """Each frame with the true corners ``(4, 2)`` px, TL TR BR BL. Motion blur is as long as half of what the canvas's
    middle moves from frame to frame."""
    stage = scene if isinstance(scene, Stage) else Stage(scene, near=path[0].view)
    rng = np.random.default_rng(seed)
    true = [t.corners_px(stage.scene, moment.view) for moment in path]
    for k, moment in enumerate(path):
        last, after = true[max(k - 1, 0)], true[min(k + 1, len(path) - 1)]
        shake = _SHUTTER * (after - last).mean(axis=0) / 2
        codes = stage.codes(moment, shake, rng)
        codes.flags.writeable = False
        yield Frame(codes, first + k, 1000.0 + (first + k) / RATE_HZ), true[k]


def still(count: int, view: t.View = VIEW, covers: Iterable[Cover] = ()) -> list[Moment]:
    """A camera on its stand."""
    return [Moment(view, tuple(covers))] * count


def drifting(count: int, view: t.View = VIEW, amount: float = 1.0, seed: int = 0) -> list[Moment]:
    """Held by hand: slow, smooth turns and shifts; with ``amount`` 1 about 1 px a frame of 720p at most."""
    rng = np.random.default_rng(seed)
    time = np.arange(count) / RATE_HZ
    ways = [
        np.sum([rng.normal() / k * np.sin(2 * np.pi * (0.25 * k * time + rng.random())) for k in range(1, 4)], axis=0)
        for _ in range(6)
    ]
    ways = [amount * (way - way[0]) for way in ways]
    return [
        Moment(
            replace(
                view,
                yaw_deg=view.yaw_deg + 0.6 * ways[0][k], pitch_deg=view.pitch_deg + 0.6 * ways[1][k],
                roll_deg=view.roll_deg + 0.2 * ways[2][k], fill=view.fill * (1 + 0.006 * ways[3][k]),
                off=(view.off[0] + 0.006 * ways[4][k], view.off[1] + 0.006 * ways[5][k]),
            )
        )
        for k in range(count)
    ]  # fmt: skip


def knocked(count: int, at: int, view: t.View = VIEW, by: float = 1.0) -> list[Moment]:
    """Still, then over two frames somewhere else, by about 20 px of 720p for ``by`` 1, and still there."""
    there = replace(
        view,
        yaw_deg=view.yaw_deg + 1.0 * by, pitch_deg=view.pitch_deg - 0.6 * by, roll_deg=view.roll_deg + 0.5 * by,
        off=(view.off[0] + 0.015 * by, view.off[1] - 0.012 * by),
    )  # fmt: skip
    between = replace(
        view,
        yaw_deg=(view.yaw_deg + there.yaw_deg) / 2, pitch_deg=(view.pitch_deg + there.pitch_deg) / 2,
        roll_deg=(view.roll_deg + there.roll_deg) / 2,
        off=((view.off[0] + there.off[0]) / 2, (view.off[1] + there.off[1]) / 2),
    )  # fmt: skip
    return [Moment(view if k < at else between if k == at else there) for k in range(count)]


def covered(path: Sequence[Moment], covers: Iterable[Cover], since: int, until: int) -> list[Moment]:
    """The same with something before the canvas in some of the frames."""
    held = tuple(covers)
    return [replace(m, covers=m.covers + held) if since <= k < until else m for k, m in enumerate(path)]


def hand_passing(path: Sequence[Moment], since: int, until: int, width_mm: float = 80.0) -> list[Moment]:
    """The same with a hand and its arm that come in from the right, go across the canvas and leave."""
    answer = []
    for k, moment in enumerate(path):
        if since <= k < until:
            part = (k - since) / max(until - since - 1, 1)
            at = (460 - 900 * np.sin(np.pi * part) * 0.5, 60 + 220 * part)
            answer.append(replace(moment, covers=(*moment.covers, t.hand(at, width_mm))))
        else:
            answer.append(moment)
    return answer


def painted(path: Sequence[Moment], since: int, steps: int = 6) -> list[Moment]:
    """The same while strokes change the picture, a step every three frames."""
    return [replace(m, painted=float(np.clip((k - since) // 3, 0, steps)) / steps) for k, m in enumerate(path)]


def exposed(path: Sequence[Moment], gains: Sequence[float], every: int = 8) -> list[Moment]:
    """The same with the camera's gain stepping."""
    return [replace(m, gain=gains[(k // every) % len(gains)]) for k, m in enumerate(path)]


def over_tabs(*corners: int, size: tuple[float, float] = (400.0, 300.0)) -> tuple[Cover, ...]:
    """Rags over the tabs at some corners of the canvas."""
    w, h = size
    at = {0: (0.0, 0.0), 1: (w, 0.0), 2: (w, h), 3: (0.0, h)}
    out = {0: (-1, -1), 1: (1, -1), 2: (1, 1), 3: (-1, 1)}
    answer = []
    for corner in corners:
        x, y = at[corner][0] + 30 * out[corner][0], at[corner][1] + 30 * out[corner][1]
        answer.append((((x - 62, y - 58), (x + 64, y - 60), (x + 58, y + 62), (x - 60, y + 58)), 0.25))
    return tuple(answer)


def _with_strokes(picture: Light, painted: float) -> Light:
    """Broad strokes of other tones, some of them right up to the canvas's edge."""
    light = picture.copy()
    rng = np.random.default_rng(77)
    rows, columns = light.shape
    for _ in range(round(40 * painted)):
        start, end = rng.uniform(-0.05, 1.05, (2, 2)) * (columns, rows)
        wide, tone = int(rng.uniform(15, 70)), float(rng.uniform(0.05, 0.8))
        cv2.line(light, start.astype(int).tolist(), end.astype(int).tolist(), tone, wide)
    return light


def _place(light: Light, cover: Light, picture: Light, at_mm: Floats, scale: float) -> None:
    """A picture between four corners ``(4, 2)`` canvas mm, brought to the layer's fineness by area first."""
    sides = np.linalg.norm(np.roll(at_mm, -1, axis=0) - at_mm, axis=1) * scale
    fine = cv2.resize(picture, (max(2, round(sides[0])), max(2, round(sides[1]))), interpolation=cv2.INTER_AREA)
    rows, columns = fine.shape
    outline = ((at_mm + _MARGIN_MM) * scale - 0.5).astype(np.float32)
    ends = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float32) - np.float32(0.5)
    matrix = cv2.getPerspectiveTransform(ends, outline)
    box = light.shape[::-1]
    share = cv2.warpPerspective(np.ones_like(fine), matrix, box, flags=cv2.INTER_LINEAR)
    tone = cv2.warpPerspective(fine, matrix, box, flags=cv2.INTER_LINEAR)
    light[:] = light * (1 - share) + tone
    cover[:] = np.maximum(cover, share)


def _soft(light: Light, cover: Light, corner_mm: tuple[float, float], scale: float, behind: float) -> _Layer:
    """Blurred as the camera's focus would."""
    soft_light, soft_cover = (np.asarray(cv2.GaussianBlur(each, (0, 0), 1.5)) for each in (light, cover))
    return _Layer(soft_light, soft_cover, corner_mm, scale, behind)


_TABLE = np.rint(255 * encode_srgb((np.arange(4097) / 4095) ** 2).clip(0, 1)).astype(np.uint8)
