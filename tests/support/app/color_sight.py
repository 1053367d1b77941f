"""How colours look to eyes that lack a kind of cone, and how far apart two colours are to the eye.

The matrices are those of G. M. Machado, M. M. Oliveira, L. A. F. Fernandes: A Physiologically-based Model for
Simulation of Color Vision Deficiency, IEEE TVCG 15 (2009), at severity 1.0, for linear RGB. The difference is CIEDE2000
as G. Sharma, W. Wu, E. N. Dalal (Color Research and Application 30, 2005) write it; contrast is that of WCAG 2.1.
"""

from __future__ import annotations

import math

import numpy as np

EYES = {
    "normal": np.eye(3),
    "protanopia": np.array([
        [0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998],
    ]),
    "deuteranopia": np.array([
        [0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881],
    ]),
    "tritanopia": np.array([
        [1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900],
    ]),
}  # fmt: skip
_TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.119192, 0.9503041]]
)
_WHITE = np.array([0.95047, 1.0, 1.08883])

Lab = tuple[float, float, float]


def linear(colour: str) -> np.ndarray:
    """Return linear RGB from ``#RRGGBB``."""
    c = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def lab_of(rgb: np.ndarray) -> Lab:
    """Return CIELAB (D65) of linear RGB."""
    t = (_TO_XYZ @ np.clip(rgb, 0.0, 1.0)) / _WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return float(116 * f[1] - 16), float(500 * (f[0] - f[1])), float(200 * (f[1] - f[2]))


def apart(one: str, other: str, eye: str = "normal") -> float:
    """Return the CIEDE2000 difference of two colours as an eye sees them."""
    return ciede2000(lab_of(EYES[eye] @ linear(one)), lab_of(EYES[eye] @ linear(other)))


def ciede2000(one: Lab, other: Lab) -> float:
    """Return the difference of two CIELAB colours; 1 is just seen side by side."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_c = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean_c**7 / (mean_c**7 + 25**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0 for a, b in ((a1, b1), (a2, b2)))
    turn = h2 - h1
    if c1 * c2 == 0:
        turn, mean_h = 0.0, h1 + h2
    else:
        mean_h = (h1 + h2) / 2
        if abs(turn) > 180:
            mean_h += 180 if h1 + h2 < 360 else -180
            turn -= math.copysign(360, turn)
    dl, dc = l2 - l1, c2 - c1
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * _cos(mean_h - 30)
        + 0.24 * _cos(2 * mean_h)
        + 0.32 * _cos(3 * mean_h + 6)
        - 0.2 * _cos(4 * mean_h - 63)
    )
    sl = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    sc, sh = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    rotation = 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25**7))
    rt = -math.sin(math.radians(60 * math.exp(-(((mean_h - 275) / 25) ** 2)))) * rotation
    return math.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * (dc / sc) * (dh / sh))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21."""
    low, high = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (high + 0.05) / (low + 0.05)
