"""ICC profiles written byte by byte, after ICC.1:2022 (version 4) and ICC.1:2001-04 (version 2)."""

import struct
from collections.abc import Callable, Sequence

import numpy as np

D50 = (0.9642, 1.0, 0.8249)
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

SRGB = (((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)), (0.3127, 0.3290))
P3 = (((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)), (0.3127, 0.3290))
ADOBE = (((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), (0.3127, 0.3290))
ROMM = (((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001)), (0.3457, 0.3585))


def matrix_profile(
    name: str,
    space: tuple,
    curve: bytes | Sequence[bytes],
    *,
    version: int = 4,
    extra: dict[bytes, bytes] | None = None,
) -> bytes:
    """A display profile of three colorants and three curves."""
    red, green, blue = [curve] * 3 if isinstance(curve, bytes) else curve
    colorants = colorants_d50(*space)
    tags = {b"desc": description(name, version), b"cprt": text("no rights reserved", version), b"wtpt": xyz(D50)}
    tags |= {tag: xyz(colorants[:, i]) for i, tag in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))}
    tags |= {b"rTRC": red, b"gTRC": green, b"bTRC": blue}
    return profile(b"mntr", b"RGB ", b"XYZ ", tags | (extra or {}), version)


def grey_profile(name: str, curve: bytes, *, version: int = 4, pcs: bytes = b"XYZ ") -> bytes:
    tags = {b"desc": description(name, version), b"cprt": text("none", version), b"wtpt": xyz(D50), b"kTRC": curve}
    return profile(b"mntr", b"GRAY", pcs, tags, version)


def table_profile(
    name: str,
    space: bytes,
    grid: int,
    lab_of: Callable[[np.ndarray], np.ndarray],
    input_curve: np.ndarray | None = None,
) -> bytes:
    """A printer or scanner profile of one 16-bit look-up table (lut16, Lab): ``lab_of`` maps ``(n, channels)`` 0-1,
    after every channel went through ``input_curve`` (0-1 at equal steps)."""
    channels = {b"RGB ": 3, b"CMYK": 4}[space]
    axes = np.meshgrid(*[np.linspace(0, 1, grid)] * channels, indexing="ij")
    lab = lab_of(np.stack(axes, axis=-1).reshape(-1, channels))
    # Legacy 16-bit Lab of lut16: L* 100 is 0xFF00, a* and b* are offset by 128 (0x8000).
    codes = np.stack([lab[:, 0] * 65280 / 100, (lab[:, 1] + 128) * 256, (lab[:, 2] + 128) * 256], axis=-1)
    curve = np.array([0.0, 1.0]) if input_curve is None else input_curve
    table = b"mft2" + bytes(4) + bytes((channels, 3, grid, 0))
    table += struct.pack(">9i", *(np.eye(3, dtype=int) * 65536).ravel()) + struct.pack(">2H", len(curve), 2)
    table += _u16(curve * 65535) * channels + _u16(codes) + struct.pack(">2H", 0, 65535) * 3
    tags = {b"desc": description(name, 2), b"cprt": text("none", 2), b"wtpt": xyz(D50), b"A2B0": table, b"A2B1": table}
    return profile(b"prtr" if channels == 4 else b"scnr", space, b"Lab ", tags, 2)


def _u16(numbers: np.ndarray) -> bytes:
    return np.clip(np.rint(numbers), 0, 65535).astype(">u2").tobytes()


def profile(kind: bytes, space: bytes, pcs: bytes, tags: dict[bytes, bytes], version: int) -> bytes:
    body, table = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, content in tags.items():
        table += name + struct.pack(">II", start + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    header = struct.pack(
        ">I4sI4s4s4s", start + len(body), bytes(4), {2: 0x02400000, 4: 0x04200000}[version], kind, space, pcs
    )
    header += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + struct.pack(">3i", *fixed(D50))
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def colorants_d50(primaries: Sequence[tuple[float, float]], white: tuple[float, float]) -> np.ndarray:
    """XYZ of the three colorants, adapted to D50, in columns."""

    def xyz_of(xy: tuple[float, float]) -> np.ndarray:
        return np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])

    corners = np.stack([xyz_of(xy) for xy in primaries], axis=1)
    to_xyz = corners * np.linalg.solve(corners, xyz_of(white))
    gains = (BRADFORD @ D50) / (BRADFORD @ xyz_of(white))
    return np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD @ to_xyz


def gamma(exponent: float) -> bytes:
    """One u8Fixed8 number: a version 2 power curve."""
    return b"curv" + bytes(4) + struct.pack(">IH", 1, round(exponent * 256))


def straight() -> bytes:
    return b"curv" + bytes(4) + struct.pack(">I", 0)


def sampled(light: np.ndarray) -> bytes:
    return b"curv" + bytes(4) + struct.pack(">I", len(light)) + np.rint(light * 65535).astype(">u2").tobytes()


def parametric(kind: int, *numbers: float) -> bytes:
    return b"para" + bytes(4) + struct.pack(">HH", kind, 0) + struct.pack(f">{len(numbers)}i", *fixed(numbers))


def srgb_curve() -> bytes:
    return parametric(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)


def xyz(colour: Sequence[float] | np.ndarray) -> bytes:
    return b"XYZ " + bytes(4) + struct.pack(">3i", *fixed(colour))


def fixed(numbers: Sequence[float] | np.ndarray) -> list[int]:
    """s15Fixed16."""
    return [round(float(number) * 65536) for number in numbers]


def description(name: str, version: int) -> bytes:
    if version == 4:
        return text(name, 4)
    letters = name.encode("ascii") + b"\0"
    return b"desc" + bytes(4) + struct.pack(">I", len(letters)) + letters + bytes(8 + 3 + 67)


def text(words: str, version: int) -> bytes:
    if version == 2:
        return b"text" + bytes(4) + words.encode("ascii") + b"\0"
    letters = words.encode("utf-16-be")
    return b"mluc" + bytes(4) + struct.pack(">II2s2sII", 1, 12, b"en", b"GB", len(letters), 28) + letters
