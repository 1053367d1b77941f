"""Rulers round the plate view: mm below and left, inches above and right, counted from program zero."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from kerfproof.report.picture.page import LEFT, TOP, PicturePage, letter, stroke

MM_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
INCH_STEPS = (0.25, 0.5, 1, 2, 6, 12, 24, 48)


def step_for(steps: Sequence[float], pixels_per_unit: float, least: float = 52.0) -> float:
    """Return the smallest step whose marks are at least `least` pixels apart."""
    return next((step for step in steps if step * pixels_per_unit >= least), steps[-1])


def ticks(low: float, high: float, step: float) -> list[float]:
    """Return the multiples of `step` from `low` to `high`."""
    first = int(np.ceil(low / step - 1e-9))
    last = int(np.floor(high / step + 1e-9))
    return [k * step for k in range(first, last + 1)]


def rulers(page: PicturePage) -> Iterator[str]:
    """Yield the rulers."""
    c = page.colours
    x0, y0, x1, y1 = page.picture.view
    yield f'<g id="rulers" font-size="13" fill="{c["faint"]}">'
    for unit, steps, size in (("mm", MM_STEPS, 1.0), ("in", INCH_STEPS, 25.4)):
        step = step_for(steps, page.scale * size)
        across = TOP + page.height + 6 if unit == "mm" else TOP - 6
        out = 1 if unit == "mm" else -1
        for value in ticks(x0 / size, x1 / size, step):
            x = page.place(value * size, 0)[0]
            yield stroke(x, across, x, across + 6 * out, c["faint"], 1.2)
            yield letter(x, across + (20 if out > 0 else -10), f"{value:g}", c["faint"], size=13, anchor="middle")
        beside = LEFT - 6 if unit == "mm" else LEFT + page.width + 6
        for value in ticks(y0 / size, y1 / size, step):
            y = page.place(0, value * size)[1]
            yield stroke(beside, y, beside - 6 * out, y, c["faint"], 1.2)
            anchor = "end" if out > 0 else "start"
            yield letter(beside - 10 * out, y + 4.5, f"{value:g}", c["faint"], size=13, anchor=anchor)
    yield letter(LEFT - 12, TOP + page.height + 26, "mm", c["faint"], size=13, bold=True, anchor="end")
    yield letter(LEFT + page.width + 12, TOP - 16, "inch", c["faint"], size=13, bold=True)
    yield "</g>"
