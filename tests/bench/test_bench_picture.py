"""How long it takes until a photograph of 24 megapixels can hang, beside what Qt alone takes; in processor time."""

import numpy as np
import pytest
from PySide6.QtGui import QImage
from pytest_benchmark.fixture import BenchmarkFixture

from app.picture import Picture, qimage_from_srgb
from tests.bench.test_bench_wall import FRAME, HEIGHT, WIDTH, best_ms, codes


@pytest.fixture(scope="module")
def array() -> np.ndarray:
    return codes(1)


@FRAME
def test_making_a_qimage(benchmark: BenchmarkFixture, array: np.ndarray) -> None:
    plain = best_ms(
        lambda: QImage(array.data, WIDTH, HEIGHT, 3 * WIDTH, QImage.Format.Format_RGB888).convertToFormat(
            QImage.Format.Format_RGB32
        ),
        8,
    )
    benchmark.pedantic(lambda: qimage_from_srgb(array), rounds=8, warmup_rounds=1)
    found = 1000 * benchmark.stats.stats.min
    print(f"\n{'24 MP array to QImage':<44} best {found:6.2f} ms, {found / plain:5.2f} × Qt alone ({plain:.2f} ms)")


@FRAME
def test_hanging_a_new_picture(benchmark: BenchmarkFixture, array: np.ndarray) -> None:
    """With all its halves; done in a worker."""
    alone = best_ms(lambda: qimage_from_srgb(array), 6)
    benchmark.pedantic(lambda: Picture.from_srgb(array), rounds=6, warmup_rounds=1)
    found = 1000 * benchmark.stats.stats.min
    print(
        f"\n{'24 MP array to Picture with its halves':<44} best {found:6.2f} ms, {found / alone:5.2f} × the image alone"
    )
