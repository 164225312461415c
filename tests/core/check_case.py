"""One small simulated sitting, made once and used by the tests of the check, its files and its sheet."""

from dataclasses import dataclass
from functools import cache
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.check import CheckRequest, CheckResult, Progress, run_check
from core.check_reference import ReferenceKept
from core.drawing.drawing import Drawing, Landmark, Line
from core.photo import load_photo_bytes
from core.size import Size
from tests.core import glare_case
from tests.studio import references
from tests.studio.camera import Camera, photograph, photograph_blank, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, ValueFault, paint

SIZE = Size(400, 300)
FAULT = ValueFault(110, 215, 40, 30, -1.3)
DISPLACEMENT = Displacement(SIZE, shift_mm=(1.2, -0.8), bumps=((250.0, 110.0, 3.0, 1.5, 36.0),))
CAMERA = Camera(
    stand_before(np.random.default_rng(3), SIZE.aspect, width=2000, height=1500, fill=0.8),
    width=2000, height=1500, exposure=0.75, white_balance=(1.1, 1.0, 0.9), light_ratio=1.6, setting="wall", seed=5,
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """The files of a check as bytes, the request made from them, and the truth."""

    reference: bytes
    photo: bytes
    blank: bytes
    corners: NDArray[np.float64]
    request: CheckRequest
    painted: Painted
    landmarks: NDArray[np.float64]


@cache
def cat_case() -> Case:
    """The cat painted 1.4 mm out of place as a whole and 3 mm in one place, one passage 1.3 steps too dark."""
    encoded = references.pixels("chelsea", SIZE, width=1600)
    painted = paint(references.linear(encoded), DISPLACEMENT, faults=(FAULT,), brushwork="texture", px_per_mm=4.0)
    held = BytesIO()
    Image.fromarray(encoded).save(held, "JPEG", quality=95, subsampling=0)
    reference, photo = held.getvalue(), photograph(painted, CAMERA).jpeg()
    blank = photograph_blank(painted, CAMERA).jpeg()
    points = references.landmarks(encoded, SIZE)
    drawing = Drawing(
        SIZE,
        (Line(np.array([[20.0, 20], [80, 40], [150, 20], [200, 60]]), name="brow"),),
        tuple(Landmark(f"p{i}", float(x), float(y)) for i, (x, y) in enumerate(points)),
    )
    request = CheckRequest(
        reference=load_photo_bytes(reference, "reference.jpg"),
        photo=load_photo_bytes(photo, "canvas.jpg"),
        size=SIZE,
        drawing=drawing,
        corners_px=np.array(CAMERA.corners),
        blank=load_photo_bytes(blank, "blank.jpg"),
    )
    return Case(reference, photo, blank, np.array(CAMERA.corners), request, painted, points)


@cache
def cat_result() -> CheckResult:
    """The case checked once."""
    return checked(cat_case().request)


@cache
def small_request() -> CheckRequest:
    """Another cat, a quarter of the size and in place: for what is said of any check."""
    encoded = references.pixels("chelsea", glare_case.SIZE, width=800)
    held = BytesIO()
    Image.fromarray(encoded).save(held, "JPEG", quality=95, subsampling=0)
    return CheckRequest(
        reference=load_photo_bytes(held.getvalue(), "reference.jpg"),
        photo=glare_case.shot(()),
        size=glare_case.SIZE,
        corners_px=np.array(glare_case.HERE),
    )


@cache
def _kept() -> ReferenceKept:
    return ReferenceKept()


def checked(request: CheckRequest, *, progress: Progress | None = None) -> CheckResult:
    """A check; the reference's side of it is made once for all that share a reference."""
    return run_check(request, progress=progress, kept=_kept())
