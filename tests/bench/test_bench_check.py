"""The whole check of a 12 MP photo: time and peak memory, in a process of its own as on the command line.

Bars: 5 s and 1.5 GB. The reference in the same run is bare Pillow decoding of the same files.
"""

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from core.demo import DEMO

ROOT = Path(__file__).resolve().parents[2]
_ALONE = """
import json, resource, sys, time
began = time.perf_counter()
from core.demo import demo_request
from core.check import run_check
from core.check_files import write_check
from pathlib import Path
imported = time.perf_counter()
request = demo_request()
loaded = time.perf_counter()
result = run_check(request)
checked = time.perf_counter()
write_check(result, Path(sys.argv[1]))
written = time.perf_counter()
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
status = Path("/proc/self/status")  # on Linux ru_maxrss also holds what the process that started this one took up
if status.exists():
    peak = float(next(line for line in status.read_text().splitlines() if line.startswith("VmHWM")).split()[1]) / 1024
print(json.dumps({"import": imported - began, "load": loaded - imported, "check": checked - loaded,
                  "write": written - checked, "whole": written - began, "peak_mb": peak}))
"""


def test_12_mp_check(benchmark: pytest.FixtureRequest, tmp_path: Path) -> None:
    figures: list[dict[str, float]] = []

    def once() -> None:
        done = subprocess.run(
            [sys.executable, "-c", _ALONE, str(tmp_path)], cwd=ROOT, capture_output=True, text=True, check=True
        )
        figures.append(json.loads(done.stdout))

    benchmark.pedantic(once, rounds=3, iterations=1)  # type: ignore[attr-defined]
    best = min(figures, key=lambda run: run["whole"])
    decode = _decoding_alone()
    print("\n12 MP check: " + ", ".join(f"{name} {value:.2f}" for name, value in best.items()))
    print(
        f"  the same three files decoded by Pillow alone: {decode:.2f} s; the check is {best['whole'] / decode:.1f} ×"
    )
    print(f"  bars: {best['whole']:.2f} of 5 s, {best['peak_mb']:.0f} of 1500 MB")


def _decoding_alone() -> float:
    from PIL import Image

    began = time.perf_counter()
    for name in ("reference.jpg", "canvas-3.jpg", "blank.jpg"):
        with Image.open(DEMO / name) as picture:
            picture.load()
    return time.perf_counter() - began
