"""What is kept between checks: the same answer as without, and nothing stale."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from core.beside import beside
from core.check_reference import ReferenceKept, ReferenceWanted
from core.errors import PhotoError
from core.photo import Photo, srgb_curve
from core.photos_kept import PhotosKept
from core.size import Size
from core.value.keying import Keying


def _file(path: Path, grey: int) -> Path:
    Image.new("RGB", (40, 30), (grey, grey, grey)).save(path)
    return path


def test_a_photograph_is_read_once_until_its_file_changes(tmp_path: Path) -> None:
    kept, file = PhotosKept(), _file(tmp_path / "jug.png", 90)
    first = kept.photo(file)
    assert kept.photo(file) is first
    Image.new("RGB", (50, 30), (200, 10, 10)).save(file)
    assert kept.photo(file).width == 50


def test_only_the_last_photographs_are_held(tmp_path: Path) -> None:
    kept = PhotosKept(2)
    files = [_file(tmp_path / f"{number}.png", 20 * number) for number in range(3)]
    first, second, third = map(kept.photo, files)
    assert kept.photo(files[1]) is second
    assert kept.photo(files[2]) is third
    assert kept.photo(files[0]) is not first
    kept.forget()
    assert kept.photo(files[0]) is not first


def test_a_file_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(PhotoError):
        PhotosKept().photo(tmp_path / "none.jpg")


def test_the_reference_is_made_anew_for_another_crop_scale_or_keying() -> None:
    rng = np.random.default_rng(2)
    photo = Photo(rng.integers(0, 255, (60, 80, 3), dtype=np.uint8), srgb_curve())
    wanted = ReferenceWanted(photo, None, Size(40, 30), 2.0, None, None)
    kept = ReferenceKept()
    flat, _ = kept.flat(wanted)
    assert kept.flat(replace(wanted))[0] is flat
    assert kept.edges(flat) is kept.edges(flat)
    crop = np.array([[10.0, 10], [50, 10], [50, 40], [10, 40]])
    for other in (
        replace(wanted, crop=crop), replace(wanted, px_per_mm=3.0), replace(wanted, keying=Keying.EVENLY),
        replace(wanted, photo=replace(photo)),
    ):  # fmt: skip
        made = kept.flat(other)[0]
        assert made is not flat
        assert kept.flat(replace(other))[0] is made
    assert not np.allclose(kept.flat(replace(wanted, keying=Keying.EVENLY))[0].linear, flat.linear)


def test_what_fails_beside_is_raised_where_it_is_asked_for() -> None:
    def fails() -> int:
        raise PhotoError("no")

    with beside(lambda: 7) as answer, beside(fails) as none:
        assert answer() == 7
        with pytest.raises(PhotoError):
            none()
