"""Loading photographs: time and memory, beside Pillow decoding the same file into an array.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail.
"""

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from core.photo import load_photo
from tests.core.icc_files import ADOBE, gamma, matrix_profile
from tests.published.libraries import skimage

PEAK = """
import re, sys
from core.photo import load_photo
import tifffile, pillow_heif
from PIL import ImageCms

def megabytes(what):
    return int(re.search(what + r":\\s+(\\d+)", open("/proc/self/status").read())[1]) / 1000

before = megabytes("VmRSS")
load_photo(sys.argv[1])
print(megabytes("VmHWM") - before)
"""


def _picture(megapixels: float) -> Image.Image:
    width = round((megapixels * 1.5e6) ** 0.5)
    return Image.fromarray(skimage.data.coffee()).resize((width, round(megapixels * 1e6 / width)))


def _written(folder: Path, kind: str, megapixels: float) -> Path:
    path = folder / f"{megapixels:g}.{kind}"
    if not path.exists():
        picture = _picture(megapixels)
        if kind == "adobe.jpg":
            picture.save(path, quality=92, icc_profile=matrix_profile("Adobe RGB", ADOBE, gamma(563 / 256)))
        elif kind == "heic":
            import pillow_heif

            pillow_heif.from_pillow(picture).save(path, quality=80)
        elif kind == "tif":
            import tifffile

            tifffile.imwrite(path, np.asarray(picture).astype(np.uint16) * 257, photometric="rgb")
        else:
            picture.save(path, quality=92, compress_level=1)
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("photographs")


def _peak_mb(path: Path) -> str:
    """Memory above what the program itself holds, measured in a fresh process; only Linux tells."""
    if not Path("/proc/self/status").exists():
        return "not measured"
    run = subprocess.run(
        [sys.executable, "-c", PEAK, str(path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    return f"{float(run.stdout):.0f} MB"


def _plain_decode_seconds(path: Path) -> float:
    started = time.perf_counter()
    with Image.open(path) as image:
        np.asarray(image)
    return time.perf_counter() - started


@pytest.mark.parametrize(
    ("kind", "megapixels"),
    [("jpg", 12), ("jpg", 24), ("jpg", 60), ("png", 12), ("tif", 24), ("adobe.jpg", 24), ("heic", 6)],
)
def test_load(benchmark: Any, folder: Path, kind: str, megapixels: float) -> None:
    path = _written(folder, kind, megapixels)
    photo = benchmark.pedantic(load_photo, (path,), rounds=2, warmup_rounds=1)
    best = benchmark.stats.stats.min
    said = f"\n{megapixels} MP {kind} ({photo.codes.dtype}): {best * 1000:.0f} ms, peak {_peak_mb(path)}"
    if kind.endswith(("jpg", "png")):
        plain = min(_plain_decode_seconds(path) for _ in range(2))
        said += f"; plain Pillow {plain * 1000:.0f} ms, ratio {best / plain:.2f}"
    print(said)
