"""first lay"""
import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.colorimetry import LUMINANCE

def fit_light(canvas: Flat, reference: Flat, *, withheld=None):
    cell = max(canvas.size.width_mm, canvas.size.height_mm) / 80
    size = round(canvas.size.width_mm / cell), round(canvas.size.height_mm / cell)
    c = np.maximum(cv2.resize(canvas.linear, size, interpolation=cv2.INTER_AREA), 1e-4)
    r = np.maximum(cv2.resize(reference.linear, size, interpolation=cv2.INTER_AREA), 1e-4)
    ok = np.ones(c.shape[:2], np.float32) if withheld is None else (cv2.resize(withheld.astype(np.float32), size, interpolation=cv2.INTER_AREA) < 0.01).astype(np.float32)
    h, w = ok.shape
    y, x = np.mgrid[0:h, 0:w]
    x, y = (x + 0.5 - w / 2) / 40, (y + 0.5 - h / 2) / 40
    basis = np.stack([x**i * y**j for i in range(4) for j in range(4 - i)], -1).reshape(h * w, -1)
    trust = ok.ravel() * np.sqrt(np.clip((r @ LUMINANCE).ravel(), 0.0, 1.0))
    out = []
    for k in range(3):
        ratio = np.log(c[..., k] / r[..., k]).ravel()
        weight = trust.copy()
        scale = 1.0
        for i in range(25):
            coef = np.linalg.lstsq(basis * np.sqrt(weight)[:, None], ratio * np.sqrt(weight), rcond=None)[0]
            left = ratio - basis @ coef
            scale = max(0.12, scale * 0.85)
            weight = trust * np.clip(1 - (left / (3 * scale)) ** 2, 0, None) ** 2 + 1e-9
        out.append((basis @ coef).reshape(h, w))
    return np.stack(out, -1)
