"""Pictures: the right colour in the right place, owned, at odd widths."""

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QTransform

from app.picture import SHARP_FROM, Picture, painted, qimage_from_grey, qimage_from_srgb


def pixels(image: QImage) -> np.ndarray:
    """(H, W, 3) red first, read pixel by pixel: the slow way that cannot be wrong about strides."""
    rows = [[QColor(image.pixel(x, y)).getRgb()[:3] for x in range(image.width())] for y in range(image.height())]
    return np.array(rows, dtype=np.uint8)


@pytest.mark.parametrize("width", [1, 2, 3, 5, 7, 31, 32, 33])
def test_every_pixel_is_where_it_was_at_any_width(width: int) -> None:
    array = np.random.default_rng(width).integers(0, 256, (5, width, 3), dtype=np.uint8)
    image = qimage_from_srgb(array)
    assert image.format() == QImage.Format.Format_RGB32
    assert image.bytesPerLine() == 4 * width
    np.testing.assert_array_equal(pixels(image), array)


@pytest.mark.parametrize("width", [1, 3, 6, 17])
def test_grey_is_neutral(width: int) -> None:
    array = np.random.default_rng(width).integers(0, 256, (4, width), dtype=np.uint8)
    np.testing.assert_array_equal(pixels(qimage_from_grey(array)), np.repeat(array[..., None], 3, axis=2))


def test_the_image_owns_its_pixels() -> None:
    array = np.zeros((3, 3, 3), dtype=np.uint8)
    image = qimage_from_srgb(array)
    array[:] = 255
    assert pixels(image).max() == 0


def test_slices_and_mirrored_and_read_only_arrays() -> None:
    whole = np.random.default_rng(0).integers(0, 256, (9, 11, 3), dtype=np.uint8)
    whole.flags.writeable = False
    for view in (whole[2:7, 3:10], whole[::-1], whole[:, ::-1], whole[..., ::-1], whole[::2, ::3]):
        np.testing.assert_array_equal(pixels(qimage_from_srgb(view)), view)


@pytest.mark.parametrize(
    "wrong",
    [
        np.zeros((4, 4), np.uint8),
        np.zeros((4, 4, 4), np.uint8),
        np.zeros((4, 4, 3), np.float32),
        np.zeros((0, 4, 3), np.uint8),
    ],
)
def test_anything_else_is_refused(wrong: np.ndarray) -> None:
    with pytest.raises(ValueError, match="expected"):
        qimage_from_srgb(wrong)


def test_levels_halve_and_keep_the_mean() -> None:
    array = np.random.default_rng(0).integers(0, 256, (1001, 1503, 3), dtype=np.uint8)
    picture = Picture.from_srgb(array)
    assert [(level.width(), level.height()) for level in picture.levels] == [
        (1503, 1001),
        (752, 501),
        (376, 251),
        (188, 126),
    ]
    mean = array.mean(axis=(0, 1))
    for level in picture.levels[1:]:
        np.testing.assert_allclose(pixels(level).mean(axis=(0, 1)), mean, atol=0.3)


@pytest.mark.parametrize(("height", "width"), [(600, 400), (601, 400), (600, 401), (601, 403), (300, 1), (1, 300)])
def test_a_half_is_the_mean_of_four_within_a_code(height: int, width: int) -> None:
    array = np.random.default_rng(height + width).integers(0, 256, (height, width, 3), dtype=np.uint8)
    padded = np.pad(array, ((0, height % 2), (0, width % 2), (0, 0)), mode="edge").astype(float)
    wanted = padded.reshape(padded.shape[0] // 2, 2, padded.shape[1] // 2, 2, 3).mean(axis=(1, 3))
    assert np.abs(pixels(Picture.from_srgb(array).levels[1]) - wanted).max() <= 0.75


@pytest.mark.parametrize(
    ("magnification", "level"), [(2.0, 0), (1.0, 0), (0.51, 0), (0.5, 1), (0.26, 1), (0.25, 2), (0.01, 3)]
)
def test_the_level_has_a_pixel_for_every_screen_pixel(magnification: float, level: int) -> None:
    assert Picture.from_srgb(np.zeros((1000, 1500, 3), np.uint8)).halvings_for(magnification) == level


def shown(picture: Picture, scale: float, dx: float, dy: float, width: int, height: int) -> np.ndarray:
    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, width, height, QColor(1, 2, 3))
        picture.paint(painter, QTransform(scale, 0, 0, scale, dx, dy), QRectF(0, 0, width, height))

    return pixels(painted(width, height, 1.0, paint))


def test_strongly_magnified_pixels_are_squares() -> None:
    array = np.random.default_rng(3).integers(0, 256, (40, 40, 3), dtype=np.uint8)
    frame = shown(Picture.from_srgb(array), 8.0, -80.0, -40.0, 64, 64)
    np.testing.assert_array_equal(frame, np.repeat(np.repeat(array[5:13, 10:18], 8, axis=0), 8, axis=1))


def test_true_size_is_true() -> None:
    array = np.random.default_rng(4).integers(0, 256, (90, 100, 3), dtype=np.uint8)
    np.testing.assert_array_equal(shown(Picture.from_srgb(array), 1.0, -20.0, -10.0, 50, 50), array[10:60, 20:70])


@pytest.mark.parametrize("scale", [0.07, 0.13, 0.4, 0.8, 1.3, SHARP_FROM - 0.1, SHARP_FROM + 0.1])
def test_a_ramp_lies_where_it_should_at_every_zoom(scale: float) -> None:
    """Whatever level is used, a picture pixel lands where the transform puts it: a ramp reads back its own place."""
    ramp = np.tile(np.linspace(0, 255, 2048), (512, 1)).round().astype(np.uint8)
    frame = shown(Picture.from_grey(ramp), scale, -scale * 300, -scale * 100, 120, 30)[..., 0].astype(float)
    columns = (np.arange(120) + 0.5) / scale + 300 - 0.5
    inside = columns < 2000
    np.testing.assert_allclose(
        frame[15, inside], np.clip(columns[inside], 0, 2047) / 2047 * 255, atol=max(1.0, 0.2 / scale)
    )


def test_beside_the_picture_nothing_is_painted() -> None:
    frame = shown(Picture.from_grey(np.full((10, 10), 200, np.uint8)), 1.0, 20.0, 20.0, 60, 60)
    assert (frame[:19] == (1, 2, 3)).all()
    assert (frame[31:] == (1, 2, 3)).all()
    assert (frame[20:30, 20:30] == 200).all()
    far = shown(Picture.from_grey(np.full((10, 10), 200, np.uint8)), 1.0, 500.0, 0.0, 20, 20)
    assert (far == (1, 2, 3)).all()
