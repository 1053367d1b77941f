"""Kerf offsets: the curves parallel to closed paths, with lines kept lines and arcs kept arcs.

Three ways, each for what the one before declines: all paths at once piece by piece; the exact arrangement of all
raw pieces; the library's buffer with its edges mapped back. Whatever comes from the last two is measured against
its source before it is given out; what fails is named, never passed on.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.crossing import CROSS, OVERLAP, TOUCH, crossings
from kerfproof.geom.distance import nearest
from kerfproof.geom.offset.check import self_meetings
from kerfproof.geom.offset.fast import fast_offset
from kerfproof.geom.offset.ladder import MARGIN, hard_offset, picked
from kerfproof.geom.offset.merge import merged
from kerfproof.geom.offset.reach import unreached
from kerfproof.geom.path import SAME_POINT, Bools, Bundle, Floats, Ints, Path
from kerfproof.geom.region import path_areas

_HELPING = 1 << 13
"""So many vertices are offset at once, so that the work can be watched and stopped."""
_CHUNK = 32
"""So many hard paths are worked at once."""
_FAR = 1e4
"""Beyond this (mm) from the origin coordinates are first brought near, so as not to lose digits."""
_MEETINGS = {
    CROSS: "the contour crosses itself",
    OVERLAP: "the contour runs back on itself",
    TOUCH: "the contour touches itself",
}


@dataclass(frozen=True, slots=True, eq=False)
class Offset:
    """What became of one path.

    `paths` run the way of their source: one as a rule, several where a neck closes, none where nothing is left.
    `lost` says that something is missing: all of it, or a piece that hangs by less than 5 um. `problem` is empty
    or one phrase saying why the curve could not be made (then `paths` is empty). `at` is the place of either, mm.
    `unreached` are places deep in pockets too narrow to enter, such as a slot narrower than the kerf.
    """

    paths: tuple[Path, ...]
    lost: bool = False
    problem: str = ""
    at: tuple[float, float] | None = None
    unreached: tuple[tuple[float, float], ...] = ()


def offset_all(
    paths: Bundle, distance: Floats, *, sharp: bool = False, checked: bool = False, watch: Watch = no_watch
) -> tuple[Offset, ...]:
    """Return the curves parallel to each path at its own `distance` (n,), positive to the left of travel.

    Corners where the curves part are rounded by an arc round the vertex; with `sharp` they meet in a mitre of at
    most four distances. Corners of few degrees meet without an arc where that stays within 1 um. Say `checked`
    when the paths are known not to cross themselves.

    Raises
    ------
    ValueError
        If a path is open or a distance is not finite.
    """
    distance = np.asarray(distance, dtype=np.float64)
    if not paths.closed.all() or distance.shape != (len(paths),) or not np.isfinite(distance).all():
        raise ValueError("all paths must be closed and have one finite distance each")
    if not len(paths):
        return ()
    origin = np.zeros(3)
    if np.abs(paths.vertices[:, :2]).max() > _FAR:
        low, high = paths.vertices[:, :2].min(axis=0), paths.vertices[:, :2].max(axis=0)
        origin[:2] = np.round((low + high) / 2)
    centred = Bundle(paths.vertices - origin, paths.start_of, paths.closed)
    results: list[Offset] = []
    watch("kerf", 0.0)
    for part in _helpings(centred):
        results += _some(picked(centred, part), distance[part], sharp, checked, watch, len(results) / len(paths))
    watch("kerf", 1.0)
    return tuple(_moved(r, float(origin[0]), float(origin[1])) for r in results)


def _helpings(paths: Bundle) -> list[Ints]:
    """Return the numbers of the paths in runs of about `_HELPING` vertices."""
    helping = paths.start_of[:-1] // _HELPING
    return np.split(np.arange(len(paths)), np.flatnonzero(np.diff(helping)) + 1)


def _moved(result: Offset, dx: float, dy: float) -> Offset:
    if dx == 0 and dy == 0:
        return result
    at = None if result.at is None else (result.at[0] + dx, result.at[1] + dy)
    unreached = tuple((x + dx, y + dy) for x, y in result.unreached)
    return replace(result, paths=tuple(p.moved(dx, dy) for p in result.paths), at=at, unreached=unreached)


def _some(paths: Bundle, distance: Floats, sharp: bool, checked: bool, watch: Watch, share: float) -> list[Offset]:
    """Return the offsets of a helping of paths; `share` of all is done."""
    out: dict[int, Offset] = {} if checked else _self_crossings(paths)
    for i in np.flatnonzero(np.abs(distance) <= SAME_POINT).tolist():
        out.setdefault(i, Offset((paths.path(i),)))
    ask = np.array([i for i in range(len(paths)) if i not in out], dtype=np.int64)
    curves, whole, clear = _fast(picked(paths, ask), distance[ask], sharp)
    watch("kerf", share)
    easy, hard = np.flatnonzero(whole & clear), np.flatnonzero(~(whole & clear))
    for k, path in zip(ask[easy].tolist(), merged(picked(curves, easy)), strict=True):
        out[k] = Offset((path,))
    for low in range(0, len(hard), _CHUNK):
        some = hard[low : low + _CHUNK]
        ready = [curves.path(int(k)) if whole[k] else None for k in some]
        numbers = ask[some]
        out.update(zip(numbers.tolist(), _hard(picked(paths, numbers), distance[numbers], sharp, ready), strict=True))
        watch("kerf", share)
    return [out[i] for i in range(len(paths))]


def _self_crossings(paths: Bundle) -> dict[int, Offset]:
    """Return a problem for each path that meets itself, the worst kind of meeting first."""
    s = paths.segments()
    found = crossings(s, owner_pairs="same")
    out: dict[int, Offset] = {}
    for kind, text in _MEETINGS.items():
        for k in np.flatnonzero(found.kind == kind):
            at = (float(found.at[k, 0]), float(found.at[k, 1]))
            out.setdefault(int(s.owner[found.i[k]]), Offset((), problem=text, at=at))
    return out


def _fast(paths: Bundle, distance: Floats, sharp: bool) -> tuple[Bundle, Bools, Bools]:
    """Return the fast curves, which of them are right, and which keep well clear of losing anything."""
    curves, whole = fast_offset(paths, distance, sharp)
    good = np.flatnonzero(whole)
    taken = picked(curves, good)
    crossed, narrow = self_meetings(taken, 2 * MARGIN + 1e-3)
    turned = np.sign(path_areas(taken)) != np.sign(path_areas(picked(paths, good)))
    _, farther = fast_offset(paths, distance + np.sign(distance) * MARGIN, sharp)
    clear = farther.copy()
    clear[good] &= ~narrow
    whole[good] &= ~crossed & ~turned
    return curves, whole, clear


def _hard(paths: Bundle, distance: Floats, sharp: bool, ready: list[Path | None]) -> list[Offset]:
    """Return the offsets of paths that the fast way declined, or (`ready`) that may lose something."""
    loops: list[list[Path] | None] = [None if path is None else merged(Bundle.of([path])) for path in ready]
    ask = np.array([k for k, found in enumerate(loops) if found is None], dtype=np.int64)
    for k, answer in zip(ask.tolist(), hard_offset(picked(paths, ask), distance[ask], sharp), strict=True):
        loops[k] = answer
    farther = hard_offset(paths, distance + np.sign(distance) * MARGIN, False)
    out = []
    for k, found in enumerate(loops):
        if found is None:
            first = paths.path(k).start
            at = (float(first[0]), float(first[1]))
            out.append(Offset((), problem="the kerf path can't be computed for this contour", at=at))
            continue
        result = _survivors(paths.path(k), found, farther[k])
        out.append(replace(result, unreached=unreached(paths.path(k), result.paths, float(distance[k]))))
    return out


def _survivors(source: Path, loops: list[Path], farther: list[Path] | None) -> Offset:
    """Return the loops that outlive being offset a little further, and whether all do and stay in one piece."""
    if farther is None:  # can't be judged: nothing is known to be lost
        return Offset(tuple(loops))
    if not loops:
        box = source.bounds()
        return Offset((), lost=True, at=((box[0] + box[2]) / 2, (box[1] + box[3]) / 2))
    everything = Bundle.of(loops)
    s = everything.segments()
    heirs = np.zeros(len(loops), dtype=np.int64)
    for child in farther:
        c = child.segments()
        _, number = nearest(c.points(np.array([0]), np.array([0.5])), s, np.inf)
        heirs[s.owner[number[0]]] += 1
    kept = tuple(path for path, n in zip(loops, heirs, strict=True) if n)
    odd = np.flatnonzero(heirs != 1)
    if not len(odd):
        return Offset(kept)
    place = loops[int(odd[0])].start
    return Offset(kept, lost=True, at=(float(place[0]), float(place[1])))
