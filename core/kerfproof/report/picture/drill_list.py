"""Holes for the drill on the picture: a cross at each, and its size where there is room for it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

import numpy as np

from kerfproof.geom.counted import counted
from kerfproof.geom.path import Bundle
from kerfproof.report.picture.page import LEFT, TOP, PicturePage, letter, stroke
from kerfproof.report.picture.picture import Drill
from kerfproof.report.picture.spots import Spots

SIZE = 13.0
ALONE = 4
"""So many holes of one size are labelled one by one; more share one label with their number."""
MOST_WALLS = 20_000
"""On a sheet as full as that labels may cross a line."""


def drills(page: PicturePage, spots: Spots) -> Iterator[str]:
    """Yield crosses and labels; a label that has no room beside any hole of its size is left to the margin."""
    shown, colour = page.picture.drills, page.colours["drill"]
    for drill in shown:
        x, y = page.place(*drill.at)
        arm = _arm(drill, page)
        spots.take(x, y, arm)
        yield stroke(x - arm, y, x + arm, y, colour, 1.2) + stroke(x, y - arm, x, y + arm, colour, 1.2)
    walls = _walls(page) if shown else spots
    alike = Counter(drill.text for drill in shown)
    done: dict[str, bool] = defaultdict(bool)
    for drill in shown:
        number = alike[drill.text]
        if number <= ALONE or not done[drill.text]:
            words = drill.text if number <= ALONE else f"{number} \u00d7 {drill.text}"
            text = _label(drill, words, page, spots, walls)
            done[drill.text] |= bool(text)
            yield text


def _walls(page: PicturePage) -> Spots:
    """Return where the kerf and the edges of the metal run, as spots close enough that no word slips between them."""
    walls = Spots(LEFT, TOP, LEFT + page.width, TOP + page.height)
    for layer in page.picture.layers:
        if layer.role not in ("part", "kerf", "slit"):
            continue
        segments = Bundle.of(layer.paths).segments()
        counts = np.ceil(segments.lengths() * page.scale / SIZE).astype(np.int64) + 1
        if counts.sum() > MOST_WALLS:
            continue
        which, step = counted(counts)
        for x, y in segments.points(which, step / counts[which]).tolist():
            walls.take(*page.place(x, y), layer.width / 2 * page.scale + 1)
    return walls


def _arm(drill: Drill, page: PicturePage) -> float:
    return drill.radius * page.scale + 6


def _label(drill: Drill, words: str, page: PicturePage, spots: Spots, walls: Spots) -> str:
    """Return the words below, above, right or left of a hole, empty if there is no room."""
    x, y = page.place(*drill.at)
    arm, wide = _arm(drill, page), 0.64 * SIZE * len(words)
    off = arm + SIZE / 2 + 3
    aside = arm + wide / 2 + 5
    middles = [(x, y + off), (x, y - off), (x + aside, y), (x - aside, y)]
    spot = spots.find_row(wide, SIZE / 2 + 1, middles, walls)
    if spot is None:
        return ""
    halo = f'stroke="{page.colours["part"]}" stroke-width="4" paint-order="stroke"'
    return letter(spot[0], spot[1] + 0.36 * SIZE, words, page.colours["ink"], size=SIZE, anchor="middle", more=halo)
