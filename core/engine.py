"""Profiles made of tables, as printers and scanners have: through Little CMS to CIELAB, and on to linear light."""

import io
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from core.profiles import ICC_TO_RGB, ICC_WHITE, ProfileError, TableProfile
from core.tone import Codes, Linear

_TRIAL_PIXELS = 40_000
_WORTH_A_SHORTCUT = 300_000  # pixels; making the coarser table takes as long as they do
_LAB_STEP = 1  # codes of 8-bit L*: 0.39 L*, 0.04 V


class Engine:
    """From pixels of a picture to linear light in the sRGB primaries, unclipped, relative colorimetric.

    Pillow hands over 8-bit CIELAB: L* within 0.2 and a*, b* within 0.5 of the profile. The engine's own shortcut
    through a coarser table is four times as fast; it is used only where, tried on the picture's own pixels, it stays
    within one more step of L* on all but a thousandth of them.
    """

    def __init__(self, profile: TableProfile, samples: Codes) -> None:
        """Make ready for a picture of ``samples`` ``(H, W, C)``. Raises ProfileError when the profile is damaged."""
        self._mode = profile.channels
        self._transform = _transform(profile, ImageCms.Flags.NOOPTIMIZE)
        pixels = samples.shape[0] * samples.shape[1]
        if pixels < _WORTH_A_SHORTCUT:
            return
        shortcut = _transform(profile, ImageCms.Flags.HIGHRESPRECALC)
        step = max(1, pixels // _TRIAL_PIXELS)
        trial = samples.reshape(1, -1, samples.shape[2])[:, ::step]
        exact, quick = (self._lab_codes(trial, transform)[..., 0] for transform in (self._transform, shortcut))
        if np.percentile(np.abs(exact.astype(np.int16) - quick), 99.9) <= _LAB_STEP:
            self._transform = shortcut

    def __call__(self, samples: Codes) -> Linear:
        """Linear light ``(H, W, 3)`` float32 of ``samples`` ``(H, W, C)`` uint8 or uint16 (read to 8 bits)."""
        return _linear_of_lab_codes(self._lab_codes(samples, self._transform))

    def _lab_codes(self, samples: Codes, transform: Any) -> NDArray[np.uint8]:
        if samples.dtype == np.uint16:
            samples = np.rint(samples / np.float32(257.0)).astype(np.uint8)
        if self._mode == "RGB" and samples.shape[2] == 1:
            samples = np.repeat(samples, 3, axis=2)
        picture = Image.frombytes(self._mode, (samples.shape[1], samples.shape[0]), samples.tobytes())
        return np.asarray(transform.apply(picture))


def _transform(profile: TableProfile, flags: ImageCms.Flags) -> Any:
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile.data))
        return ImageCms.buildTransform(source, ImageCms.createProfile("LAB"), profile.channels, "LAB", intent, flags)
    except (ImageCms.PyCMSError, OSError) as error:
        raise ProfileError(str(error)) from error


def _linear_of_lab_codes(codes: NDArray[np.uint8]) -> Linear:
    """Linear light of 8-bit CIELAB (D50): L* scaled to 0-255, a* and b* as two's complement."""
    y = codes[..., 0].astype(np.float32) * np.float32(100 / 255 / 116) + np.float32(16 / 116)
    opponent = codes[..., 1:].view(np.int8).astype(np.float32)
    f = np.stack([y + opponent[..., 0] / np.float32(500), y, y - opponent[..., 1] / np.float32(200)], axis=-1)
    relative = np.where(f > 6 / 29, f**3, np.float32(108 / 841) * (f - np.float32(4 / 29)))
    return np.asarray(cv2.transform(relative, (ICC_TO_RGB * ICC_WHITE).astype(np.float32)))
