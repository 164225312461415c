"""Glare, light and comparison of a 400 x 300 mm canvas at 4 px/mm (1.9 megapixels), and its value steps.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail. Wanted: light 0.6 s,
comparison 0.5 s, steps 0.4 s.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import pytest

from core.canvas.flat import Flat
from core.size import Size
from core.tone import value_of_linear
from core.value.compare import compare_values
from core.value.glare import find_glare
from core.value.light import correct_light
from core.value.steps import steps_picture, value_steps
from tests.studio import references
from tests.studio.painter import ValueFault, fault_map

SIZE, PX_PER_MM = Size(400, 300), 4.0
FAULTS = (ValueFault(110, 90, 45, 30, -0.9), ValueFault(300, 210, 30, 42, 1.3))


@dataclass(frozen=True)
class Studio:
    reference: Flat
    canvas: Flat
    blank: Flat
    canvas_value: np.ndarray


@pytest.fixture(scope="module")
def studio() -> Studio:
    linear = references.linear(references.pixels("astronaut", SIZE, width=1600))
    grain = cv2.GaussianBlur(np.random.default_rng(0).normal(size=linear.shape).astype(np.float32), (0, 0), 3)
    light = np.linspace(0.9, 0.45, 1600, dtype=np.float32)[None, :, None] * np.float32([1.1, 1.0, 0.9])
    painted = linear * np.exp(0.5 * fault_map(FAULTS, SIZE, PX_PER_MM))[..., None] * (1 + 0.5 * grain)
    canvas = np.clip(painted * light, 0, 1).astype(np.float32)
    blank = np.broadcast_to(0.85 * light, linear.shape).astype(np.float32)
    return Studio(
        *(Flat(picture, PX_PER_MM, SIZE) for picture in (linear, canvas, blank)),
        value_of_linear(np.clip(painted, 0, 1).astype(np.float32)),
    )


def jobs(studio: Studio) -> dict[str, Callable[[], Any]]:
    light = correct_light(studio.canvas, studio.reference)
    wanted = value_of_linear(studio.reference.linear)
    return {
        "glare": lambda: find_glare(studio.canvas, studio.reference),
        "light_by_fit": lambda: correct_light(studio.canvas, studio.reference),
        "light_by_blank": lambda: correct_light(studio.canvas, studio.reference, blank=studio.blank),
        "apply_light": lambda: light.apply(studio.canvas.linear),
        "compare": lambda: compare_values(
            wanted, studio.canvas_value, px_per_mm=PX_PER_MM, moved_reference_value=wanted, uncertainty_steps=0.1
        ),
        "nine_steps": lambda: value_steps(studio.canvas_value, 9, px_per_mm=PX_PER_MM),
        "five_steps_squinting": lambda: steps_picture(
            value_steps(studio.canvas_value, 5, px_per_mm=PX_PER_MM, squint_mm=4)
        ),
    }


NAMES = ["glare", "light_by_fit", "light_by_blank", "apply_light", "compare", "nine_steps", "five_steps_squinting"]


@pytest.mark.parametrize("name", NAMES)
def test_bench_light(benchmark: Any, studio: Studio, name: str) -> None:
    benchmark.pedantic(jobs(studio)[name], rounds=5, warmup_rounds=1)
