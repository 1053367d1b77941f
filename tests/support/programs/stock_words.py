"""Words of closed cuts for programs written by hand in tests."""

from __future__ import annotations

import numpy as np

from support.programs.examples import FIND, LIGHT


def circle(x: float, y: float, r: float, *, lead: float = 4.0, share: float = 1.0) -> str:
    """Return the words of a counter-clockwise circle with a lead from inside and an over-burn; open by `share`."""
    out = f"G0 X{x + r - lead:.4f} Y{y:.4f}\n{FIND.replace('-84', '-49')}{LIGHT}G1 X{x + r:.4f} F2200\n"
    a = 2 * np.pi * share
    half, end = (x - r, y), (x + r * np.cos(a), y + r * np.sin(a))
    out += f"G3 X{half[0]:.4f} Y{half[1]:.4f} I{-r:.4f} J0\nG3 X{end[0]:.4f} Y{end[1]:.4f} I{r:.4f} J0\n"
    if share == 1.0:
        b = 1.0 / r
        out += f"G3 X{x + r * np.cos(b):.4f} Y{y + r * np.sin(b):.4f} I{-r:.4f} J0\n"
    return out + "M5\nG4 P0.3\nG0 Z25\n"
