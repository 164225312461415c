"""Files with something wrong: the same for the same number. Bytes first, then what knows the format's own parts."""

from collections.abc import Callable, Mapping

import numpy as np

from tests.fuzz.picture_parts import PARTS
from tests.fuzz.svg_mutations import mutate_svg

Rng = np.random.Generator
ODD = (
    0, 1, 2, 3, 4, 7, 8, 127, 128, 255, 256, 7000, 32767, 32768, 65535, 65536, 2**24, 2**31 - 1, 2**31, 2**32 - 2,
    2**32 - 1,
)  # fmt: skip
"""Numbers that lengths, sizes and counts go wrong by."""
FORMATS = {"jpg": "JPEG", "png": "PNG", "tif": "TIFF", "webp": "WebP", "heic": "HEIC", "svg": "SVG", "svgz": "SVG"}


def format_of(name: str) -> str:
    return FORMATS[name.rpartition(".")[2]]


def case(seeds: Mapping[str, bytes], seed: int, number: int) -> tuple[str, bytes]:
    """File ``number`` of the run ``seed``: the name of the seed it came from, and its bytes.

    The formats take turns. Half the files (of drawings, five in six) are broken by their parts, the others byte by
    byte; one in eight is two of a kind spliced; one in five is broken twice or more.
    """
    rng = np.random.default_rng([seed, number])
    kind = sorted(set(FORMATS.values()))[number % len(set(FORMATS.values()))]
    names = [name for name in seeds if format_of(name) == kind]
    name = str(rng.choice(names))
    data = seeds[name]
    if rng.random() < (0.03 if kind == "SVG" else 0.125):
        data = _spliced(data, seeds[str(rng.choice(names))], rng)
    for _ in range(1 if rng.random() < 0.8 else int(rng.integers(2, 6))):
        data = _broken(data, kind, rng)
    return name, data


def _broken(data: bytes, kind: str, rng: Rng) -> bytes:
    if not data:
        return data
    if rng.random() < (0.83 if kind == "SVG" else 0.5):
        return mutate_svg(data, rng) if kind == "SVG" else PARTS[kind](data, rng)
    return _BYTES[int(rng.integers(len(_BYTES)))](data, rng)


def _bits(data: bytes, rng: Rng) -> bytes:
    broken = bytearray(data)
    for place in rng.integers(0, len(broken), rng.integers(1, 12)):
        broken[place] ^= 1 << int(rng.integers(8))
    return bytes(broken)


def _early_bytes(data: bytes, rng: Rng) -> bytes:
    broken = bytearray(data)
    for place in rng.integers(0, min(300, len(broken)), rng.integers(1, 6)):
        broken[place] = int(rng.integers(256))
    return bytes(broken)


def _run(data: bytes, rng: Rng) -> bytes:
    start = int(rng.integers(len(data)))
    length = min(int(rng.integers(1, 300)), len(data) - start)
    fill = rng.choice((0, 255, -1))
    run = rng.bytes(length) if fill < 0 else bytes([fill]) * length
    return data[:start] + run + data[start + length :]


def _cut(data: bytes, rng: Rng) -> bytes:
    return data[: int(rng.integers(len(data)))]


def _gone(data: bytes, rng: Rng) -> bytes:
    start = int(rng.integers(len(data)))
    return data[:start] + data[start + int(rng.integers(1, 60)) :]


def _more(data: bytes, rng: Rng) -> bytes:
    start = int(rng.integers(len(data)))
    again = data[start : start + int(rng.integers(1, 400))] * int(rng.integers(1, 40))
    return data[:start] + again + data[start:]


def _number(data: bytes, rng: Rng) -> bytes:
    """An odd number over two, four or eight bytes anywhere, in either order."""
    size, order = int(rng.choice((2, 4, 8))), ("big", "little")[int(rng.integers(2))]
    start = int(rng.integers(min(len(data), 2000)))
    number = int(rng.choice(ODD)) % 256**size
    return data[:start] + number.to_bytes(size, order) + data[start + size :]


def _spliced(one: bytes, other: bytes, rng: Rng) -> bytes:
    return one[: int(rng.integers(len(one)))] + other[int(rng.integers(len(other))) :]


_BYTES: tuple[Callable[[bytes, Rng], bytes], ...] = (_bits, _early_bytes, _run, _cut, _gone, _more, _number)
