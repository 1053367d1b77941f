"""The same contours in another plan: known by their drawing, its copy and the entities they are drawn with. No Qt."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from kerfproof.job.placing import turn_matrix

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome

Known = tuple[str, int, frozenset[str]]
Place = tuple[float, float]


def same_features(before: Outcome | None, after: Outcome, numbers: Sequence[int]) -> tuple[int, ...]:
    """Return the numbers in the plan `after` of features with these `numbers` in the one `before`.

    What is not there any more is left out. Of several contours of the same entities the nearest is taken.
    """
    if before is None or not numbers:
        return ()
    there: dict[Known, list[tuple[int, Place]]] = defaultdict(list)
    for number, known, place in _told(after):
        there[known].append((number, place))
    found: dict[int, None] = {}
    for number, known, place in _told(before):
        if number in numbers and there.get(known):
            found[min(there[known], key=lambda other: math.dist(other[1], place))[0]] = None
    return tuple(found)


def _told(outcome: Outcome) -> Iterator[tuple[int, Known, Place]]:
    """Return every feature with what it is known by and the middle of its box in its drawing."""
    features = {feature.number: feature for feature in outcome.parts.features}
    for copy in outcome.copies:
        use = outcome.job.drawings[copy.use]
        for number in range(copy.first, copy.first + copy.count):
            contour = features[number].contour
            box = np.array(contour.path.bounds())
            x, y = turn_matrix(use).T @ ((box[:2] + box[2:]) / 2 - np.array(copy.shift))
            yield number, (use.name, copy.number, frozenset(contour.handles)), (float(x), float(y))
