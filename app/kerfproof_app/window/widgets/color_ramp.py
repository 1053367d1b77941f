"""One colour ramp for time: even in lightness, blue over rose to yellow, so that it reads without red or green."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PySide6.QtGui import QColor

STEPS = 48
_DARK, _LIGHT = (0.50, -0.03, -0.17), (0.90, -0.02, 0.15)
"""Ends in OKLab (B. Ottosson 2020): lightness, green to red, blue to yellow."""
_ROSE = 0.13


@lru_cache(maxsize=1)
def ramp() -> tuple[QColor, ...]:
    """Return the colours from the start of the program to its end."""
    t = np.linspace(0.0, 1.0, STEPS)[:, None]
    lab = np.array(_DARK) * (1 - t) + np.array(_LIGHT) * t
    lab[:, 1] += _ROSE * 4 * (t * (1 - t))[:, 0]
    return tuple(QColor(*(int(v) for v in row)) for row in _srgb(lab))


def _srgb(lab: np.ndarray) -> np.ndarray:
    """Return 8 bit sRGB (n, 3) of OKLab (n, 3)."""
    first = lab @ np.array([[1.0, 1.0, 1.0], [0.3963377774, -0.1055613458, -0.0894841775],
                            [0.2158037573, -0.0638541728, -1.2914855480]])  # fmt: skip
    linear = first**3 @ np.array([[4.0767416621, -1.2684380046, -0.0041960863],
                                  [-3.3077115913, 2.6097574011, -0.7034186147],
                                  [0.2309699292, -0.3413193965, 1.7076147010]])  # fmt: skip
    linear = np.clip(linear, 0.0, 1.0)
    curve = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    out: np.ndarray = np.rint(curve * 255)
    return out
