"""What to say of mends and of chains that branch."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Floats
from kerfproof.parts.join.faces import Branch
from kerfproof.parts.model.contour import Mend, Role
from kerfproof.sentence import counted, mm, say

MANY = 20
MENDS = ("gap closed", "loop closed", "duplicate removed", "overlap removed", "bit dropped")


def mend_notes(mends: Sequence[Mend]) -> list[Finding]:
    """Return one note for each kind of mend, at the place of the largest."""
    found = []
    for what in MENDS:
        these = [m for m in mends if m.what == what]
        if these:
            worst = max(these, key=lambda m: (round(m.size, 6), m.x, m.y))
            times = "once" if len(these) == 1 else f"{len(these)} times, the largest"
            message = say("{what}: {times} {size}", what=what, times=times, size=mm(worst.size, ".3f"))
            rule = what.replace(" ", "-")
            found.append(
                Finding(rule, Severity.NOTE, message, x=worst.x, y=worst.y, handle="/".join(worst.handles[:3]))
            )
    return found


def nothing_closed(count: int) -> list[Finding]:
    """Return the error that all chains (`count`) are open, so that there is no outline."""
    what = "the only chain of lines does not close" if count == 1 else f"none of the {count} chains of lines closes"
    advice = "draw the outline closed; lines to be cut as slits need the role slit and a part round them"
    return [Finding("nothing-closed", Severity.ERROR, f"{what}, so there is no outline", advice)]


def branch_findings(
    branches: Sequence[Branch], handles: Sequence[Sequence[str]], role: Role, places: Floats
) -> list[Finding]:
    """Return an error for each point where an uneven number of connected chains meets; marks may branch.

    `handles` are those of each branch, `places` (k, 2) are the nodes'.
    """
    if role is not Role.CUT:
        return []
    meeting: dict[int, list[int]] = defaultdict(list)
    for number, branch in enumerate(branches):
        meeting[branch.start].append(number)
        meeting[branch.end].append(number)
    odd = [node for node, numbers in sorted(meeting.items()) if len(numbers) > 2 and len(numbers) % 2]
    found = []
    for node in (odd or sorted(node for node, numbers in meeting.items() if len(numbers) > 2))[:MANY]:
        x, y = places[node].tolist()
        near = "/".join(dict.fromkeys(handles[number][0] for number in meeting[node][:4]))
        what = f"{len(meeting[node])} lines or arcs meet in one point, so it is not clear what is metal and what scrap"
        advice = (
            "draw each part as a closed contour of its own with room for the kerf between, or put what is not cut (a "
            "bend line?) on an ignored layer"
        )
        found.append(Finding("branch-point", Severity.ERROR, what, advice, x=x, y=y, handle=near))
    if len(odd) > MANY:
        rest = f"{counted(len(odd) - MANY, 'more point')} where three or more lines meet"
        found.append(Finding("branch-point", Severity.ERROR, rest, "see the picture of kerfproof inspect"))
    return found
