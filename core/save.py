"""Pictures written to disk: 8-bit sRGB with its profile, whole or not at all."""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.errors import PhotoError
from core.tone import display_of_linear
from core.whole_file import why_not_written, write_whole


def save_png(path: Path | str, picture: NDArray[Any], *, px_per_mm: float | None = None) -> None:
    """Write ``picture`` as an 8-bit sRGB PNG.

    ``picture``: ``(H, W, 3)`` float32 linear light (clipped to 0-1), or uint8 sRGB codes ``(H, W, 3)`` or ``(H, W)``.
    ``px_per_mm`` is noted in the file as its resolution. An older file of that name is replaced only once the new
    one is whole on the disk. Raises PhotoError when it cannot be written.
    """
    _save(Path(path), picture, {"format": "PNG", "compress_level": 3}, px_per_mm)


def save_jpeg(path: Path | str, picture: NDArray[Any], *, quality: int = 92, px_per_mm: float | None = None) -> None:
    """Write ``picture`` as an 8-bit sRGB JPEG without colour subsampling; otherwise as :func:`save_png`."""
    _save(Path(path), picture, {"format": "JPEG", "quality": quality, "subsampling": 0, "optimize": False}, px_per_mm)


def _save(path: Path, picture: NDArray[Any], options: dict[str, Any], px_per_mm: float | None) -> None:
    from PIL import Image, ImageCms

    codes = picture if picture.dtype == np.uint8 else display_of_linear(picture.astype(np.float32, copy=False))
    if codes.ndim not in (2, 3) or 0 in codes.shape or (codes.ndim == 3 and codes.shape[2] != 3):
        raise ValueError(f"expected (H, W, 3) or (H, W), got {codes.shape}")
    options["icc_profile"] = (
        None if codes.ndim == 2 else ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    )
    if px_per_mm is not None:
        options["dpi"] = (px_per_mm * 25.4, px_per_mm * 25.4)
    image = Image.fromarray(np.ascontiguousarray(codes))
    try:
        write_whole(path, lambda file: image.save(file, **options))
    except Exception as error:
        raise PhotoError(why_not_written(path, error)) from error
