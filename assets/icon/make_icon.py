"""Draws the icon, an easel with a canvas on it: ``.venv-dev/bin/python -m assets.icon.make_icon``.

``easelside.svg`` and ``easelside-small.svg`` (fewer and heavier parts, for 32 px and less), PNG of each size, and
``easelside.ico`` and ``easelside.icns``. The canvas holds a jug and a quince in three greys and one ochre.
"""

import io
import struct
from pathlib import Path

FOLDER = Path(__file__).parent
NAME = "easelside"
SIZES = (16, 24, 32, 48, 64, 128, 256, 512)
SMALL_PX = 32
ICO_SIZES = (16, 24, 32, 48, 64, 128, 256)

WOOD, WOOD_SHADE, DARK = "#9a7046", "#6f4f31", "#2b2b2b"
LIGHT, WALL, TABLE, JUG, JUG_LIGHT, OCHRE = "#f4f2ee", "#d9d6d0", "#a3a09a", "#4a4a4a", "#7d7c79", "#c8983c"


def path(points: str, fill: str, *, edge: float = 0.0) -> str:
    """A closed shape; ``points`` is what SVG calls path data; ``edge`` is the width of its dark outline."""
    line = f' stroke="{DARK}" stroke-width="{edge:g}" stroke-linejoin="round"' if edge else ""
    return f'<path d="{points}" fill="{fill}"{line}/>'


def box(x: float, y: float, width: float, height: float, fill: str, *, edge: float = 0.0) -> str:
    return path(f"M{x:g} {y:g}h{width:g}v{height:g}h{-width:g}z", fill, edge=edge)


def beam(start: tuple[float, float], end: tuple[float, float], width: float, fill: str, *, edge: float) -> str:
    """A leg, cut level at both ends."""
    (x0, y0), (x1, y1), half = start, end, width / 2
    return path(f"M{x0 - half:g} {y0:g}h{width:g}L{x1 + half:g} {y1:g}h{-width:g}z", fill, edge=edge)


def drawing() -> str:
    """The icon in a field of 256 by 256."""
    return _svg(
        [
            beam((128, 40), (128, 222), 12, WOOD_SHADE, edge=4),
            beam((114, 16), (58, 246), 16, WOOD, edge=4),
            beam((142, 16), (198, 246), 16, WOOD, edge=4),
            box(104, 10, 48, 20, WOOD, edge=4),
            box(34, 46, 188, 142, LIGHT, edge=6),
            box(43, 55, 170, 124, WALL),
            box(43, 139, 170, 40, TABLE),
            path("M80 78h46l-6 18q18 18 14 42l-12 25h-38l-12-25q-4-24 14-42z", JUG),
            path("M122 92q32-6 32 18q0 24-24 32l3-11q11-7 11-20q0-14-20-9z", JUG),
            path("M91 84h8l-2 14q-14 16-11 36l8 20h-6l-8-20q-3-22 14-36z", JUG_LIGHT),
            path("M150 153a19 17 0 1 1 38 0a19 17 0 1 1-38 0z", OCHRE),
            path("M150 153a19 17 0 0 0 38 0q-18 12-38 0z", WOOD_SHADE),
            box(26, 188, 204, 18, WOOD, edge=4),
        ]
    )


def small_drawing() -> str:
    """The same with what is still told apart at 16 pixels."""
    return _svg(
        [
            beam((110, 8), (54, 252), 28, WOOD_SHADE, edge=0),
            beam((146, 8), (202, 252), 28, WOOD_SHADE, edge=0),
            box(24, 40, 208, 144, DARK),
            box(40, 56, 176, 112, LIGHT),
            box(40, 128, 176, 40, TABLE),
            path("M72 72h56v16h24v48h-24v16h-56z", JUG),
            path("M152 136a20 20 0 1 1 40 0a20 20 0 1 1-40 0z", OCHRE),
            box(16, 184, 224, 24, WOOD),
        ]
    )


def png(svg: str, size: int) -> bytes:
    """The drawing as a PNG of ``size`` by ``size`` pixels with a clear ground."""
    from PySide6.QtCore import QBuffer, QByteArray, QIODevice
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    picture = QImage(size, size, QImage.Format.Format_ARGB32_Premultiplied)
    picture.fill(0)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    QSvgRenderer(QByteArray(svg.encode())).render(painter)
    painter.end()
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    picture.save(buffer, "PNG")
    return bytes(held.data())


def ico(pictures: dict[int, bytes]) -> bytes:
    """Windows' icon file of PNG pictures by their size, 256 at most."""
    head, body = struct.pack("<HHH", 0, 1, len(pictures)), io.BytesIO()
    place = 6 + 16 * len(pictures)
    for size, data in pictures.items():
        head += struct.pack("<BBBBHHII", size % 256, size % 256, 0, 0, 1, 32, len(data), place + body.tell())
        body.write(data)
    return head + body.getvalue()


def icns(pictures: dict[int, bytes]) -> bytes:
    """macOS's icon file of PNG pictures: 128, 256 and 512 pixels."""
    kinds = {128: b"ic07", 256: b"ic08", 512: b"ic09"}
    parts = b"".join(kind + struct.pack(">I", 8 + len(pictures[n])) + pictures[n] for n, kind in kinds.items())
    return b"icns" + struct.pack(">I", 8 + len(parts)) + parts


def main() -> None:
    drawn, small = drawing(), small_drawing()
    (FOLDER / f"{NAME}.svg").write_text(drawn, encoding="utf-8")
    (FOLDER / f"{NAME}-small.svg").write_text(small, encoding="utf-8")
    pictures = {size: png(small if size <= SMALL_PX else drawn, size) for size in SIZES}
    for size, data in pictures.items():
        (FOLDER / f"{NAME}-{size}.png").write_bytes(data)
    (FOLDER / f"{NAME}.ico").write_bytes(ico({size: pictures[size] for size in ICO_SIZES}))
    (FOLDER / f"{NAME}.icns").write_bytes(icns(pictures))


def _svg(parts: list[str]) -> str:
    inside = "\n".join(f"  {part}" for part in parts)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 256 256">\n{inside}\n</svg>\n'


if __name__ == "__main__":
    main()
