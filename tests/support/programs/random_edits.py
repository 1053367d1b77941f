"""Random edits of right programs, judged by the table simulator and by the proof.

An edit is all in its seed: the subject, what is changed, the tables. Where the simulator sees harm the proof must not
be silent; where it sees none the proof must not refuse. `scripts/random_edits.py` counts them by kind.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from support.programs import edit_subjects
from support.programs.edit_subjects import POOL, Subject, counted, subject
from support.referees.simulated_harm import Harm

Lines = list[str]
Edit = Callable[[random.Random, Lines, Subject], "Lines | None"]
EDITS: dict[str, tuple[float, Edit]] = {}
"""Each kind with its share."""

_COMMENT = re.compile(r"\([^)]*\)")
_WORD = re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")


def edit(kind: str, share: float) -> Callable[[Edit], Edit]:
    """Enter a kind of edit."""

    def enter(work: Edit) -> Edit:
        assert kind not in EDITS
        EDITS[kind] = (share, work)
        return work

    return enter


# --- where ------------------------------------------------------------------------------------------------------------


def body(lines: Lines) -> list[int]:
    """Return the lines that are not comment alone."""
    return [k for k, line in enumerate(lines) if _COMMENT.sub("", line).strip()]


def blocks(lines: Lines) -> list[tuple[int, int]]:
    """Return first line and end of each cut's block."""
    starts = [k for k, line in enumerate(lines) if re.match(r"\(cut \d+ of", line)]
    if not starts:
        return []
    end = next((k for k in range(len(lines) - 1, starts[-1], -1) if re.match(r"G0 Z|M0|M5", lines[k])), len(lines) - 1)
    return list(zip(starts, [*starts[1:], max(end - 1, starts[-1] + 1)], strict=True))


def spot(r: random.Random, lines: Lines, wanted: Sequence[int] | None = None) -> int:
    """Return a line by lot: mostly of a block by lot, else of all that is no comment."""
    free = list(wanted) if wanted is not None else body(lines)
    parts = blocks(lines)
    if parts and r.random() < 0.7:
        low, high = r.choice(parts)
        inside = [k for k in free if low <= k < high]
        if inside:
            return r.choice(inside)
    return r.choice(free)


def without(lines: Lines, at: int, count: int = 1) -> Lines:
    """Return the lines without some of them."""
    return lines[:at] + lines[at + count :]


def number(value: float) -> str:
    """Return a number as programs write it."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


# --- lines ------------------------------------------------------------------------------------------------------------


@edit("line dropped", 8)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    return without(lines, spot(r, lines))


@edit("lines dropped", 3)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    return without(lines, spot(r, lines), r.randint(2, 5))


@edit("line doubled", 4)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    at = spot(r, lines)
    return [*lines[:at], lines[at], *lines[at:]]


@edit("lines exchanged", 5)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    a = spot(r, lines)
    near = [k for k in body(lines) if 0 < abs(k - a) <= r.choice([1, 1, 3, 12])]
    if not near:
        return None
    b = r.choice(near)
    lines[a], lines[b] = lines[b], lines[a]
    return lines


@edit("line moved", 5)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    a = spot(r, lines)
    line = lines.pop(a)
    b = max(0, min(len(lines), a + r.choice([-1, 1]) * r.choice([1, 2, 3, 5, 10, 40])))
    return [*lines[:b], line, *lines[b:]]


@edit("line out of use", 3)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines:
    at = spot(r, lines)
    way = r.choice(["({})", "/{}", ";{}" if s.dialect.semicolons else "/{}"])
    lines[at] = way.format(_COMMENT.sub("", lines[at]))
    return lines


# --- words ------------------------------------------------------------------------------------------------------------


def _changed_number(r: random.Random, letter: str, text: str, s: Subject) -> str:
    value, unit = float(text), 25.4 if s.rig.inches else 1.0
    ways = [
        lambda: number(-value),
        lambda: number(value * r.choice([10, 0.1, 25.4, 1 / 25.4, 2, 0.5, 1.01, 100])),
        lambda: number(value + r.choice([-1, 1]) * r.choice([0.15, 0.3, 0.5, 1, 2, 5, 20]) / unit),
        lambda: number(value + r.choice([-1, 1]) * r.choice([0.15, 0.3, 0.5, 1, 2, 5, 20]) / unit),
        lambda: "0",
        lambda: text.replace(".", "", 1),
        lambda: text.replace(str(r.randint(0, 9)), str(r.randint(0, 9)), 1),
        lambda: text[:-1] if len(text) > 1 and text[-2] != "-" else text + "0",
    ]
    if letter == "G":
        ways = [lambda: r.choice("0 1 2 3 17 18 20 21 28 40 41 53 54 55 61 64 90 91 92 92.1 93 94".split())]
    elif letter == "M":
        ways = [lambda: r.choice("0 1 2 3 4 5 6 7 8 9 30 62 63 64".split())]
    return str(r.choice(ways)())


def _words(line: str) -> list[re.Match[str]]:
    return [] if line.startswith("(") else list(_WORD.finditer(_COMMENT.sub(lambda m: " " * len(m[0]), line)))


@edit("number changed", 16)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines | None:
    at = spot(r, lines)
    found = [m for m in _words(lines[at]) if m[1] not in "GMN"]
    if not found:
        return None
    m = r.choice(found)
    lines[at] = lines[at][: m.start(2)] + _changed_number(r, m[1], m[2], s) + lines[at][m.end(2) :]
    return lines


@edit("number changed everywhere", 3)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines | None:
    at = spot(r, lines)
    found = [m for m in _words(lines[at]) if m[1] not in "GMN"]
    if not found:
        return None
    m = r.choice(found)
    old, new = m[0], m[1] + _changed_number(r, m[1], m[2], s)
    way = re.compile(rf"{re.escape(old)}(?![\d.])")
    return [line if line.startswith("(") else way.sub(new, line) for line in lines]


@edit("code changed", 7)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines | None:
    at = spot(r, lines)
    found = [m for m in _words(lines[at]) if m[1] in "GM"]
    if not found:
        return None
    m = r.choice(found)
    lines[at] = lines[at][: m.start(2)] + _changed_number(r, m[1], m[2], s) + lines[at][m.end(2) :]
    return lines


@edit("word dropped", 7)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    at = spot(r, lines)
    found = _words(lines[at])
    if not found:
        return None
    m = r.choice(found)
    lines[at] = (lines[at][: m.start()] + lines[at][m.end() :]).strip()
    return lines


@edit("word added", 5)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines:
    at, unit = spot(r, lines), 25.4 if s.rig.inches else 1.0
    letter = r.choice("XYZZXYFPIJRGMS")
    value = {
        "F": lambda: number(r.choice([60, 500, 1000, 2200, 7500]) / unit),
        "P": lambda: r.choice(["0", "1", "0.5", "2"]),
        "G": lambda: r.choice(["0", "1", "53", "91", "90", "20", "21", "61", "64", "54", "28"]),
        "M": lambda: r.choice(["0", "3", "5", "8", "9", "62 P0", "64 P0"]),
        "S": lambda: "1000",
    }.get(letter, lambda: number(r.uniform(-30, 150) / unit))()
    lines[at] = f"{lines[at]} {letter}{value}" if r.random() < 0.7 else f"{letter}{value} {lines[at]}"
    return lines


@edit("letter changed", 2)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    at = spot(r, lines)
    found = _words(lines[at])
    if not found:
        return None
    m = r.choice(found)
    lines[at] = lines[at][: m.start(1)] + r.choice("XYZIJFPGMAB") + lines[at][m.end(1) :]
    return lines


@edit("values of two lines exchanged", 2)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    a, b = spot(r, lines), spot(r, lines)
    one, two = _words(lines[a]), _words(lines[b])
    both = [(m, n) for m in one for n in two if m[1] == n[1] and m[1] in "XYZIJFP" and m[2] != n[2]]
    if a == b or not both:
        return None
    m, n = r.choice(both)
    lines[a] = lines[a][: m.start(2)] + n[2] + lines[a][m.end(2) :]
    lines[b] = lines[b][: n.start(2)] + m[2] + lines[b][n.end(2) :]
    return lines


@edit("expression thrown away", 2)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines | None:
    found = [k for k in body(lines) if "#" in lines[k]]
    if not found:
        return None
    at = spot(r, lines, found)
    unit = 25.4 if s.rig.inches else 1.0
    z = number(r.choice([-44, -43.5, -19, -20, -60, -1, 3, 25]) / unit)
    lines[at] = re.sub(r"(?<==)(SQRT)?(\[.*\]|#\d+)|(?<=Z)(\[[^ ]*\]|#\d+)", z, lines[at], count=1)
    return lines


# --- blocks -----------------------------------------------------------------------------------------------------------


@edit("blocks exchanged", 3)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    parts = blocks(lines)
    if len(parts) < 2:
        return None
    (a, b), (c, d) = sorted(r.sample(parts, 2))
    return [*lines[:a], *lines[c:d], *lines[b:c], *lines[a:b], *lines[d:]]


@edit("block dropped", 2)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    parts = blocks(lines)
    if not parts:
        return None
    a, b = r.choice(parts)
    return lines[:a] + lines[b:]


@edit("block doubled", 2)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    parts = blocks(lines)
    if not parts:
        return None
    a, b = r.choice(parts)
    c = r.choice([p[1] for p in parts if p[1] >= b])
    return [*lines[:c], *lines[a:b], *lines[c:]]


# --- lines put in -----------------------------------------------------------------------------------------------------

PLAUSIBLE = (
    "G53 G0 X{a} Y{b}", "G53 G0 Z0", "G53 G0 Z-{c}", "G92 X0 Y0", "G92.0 X0 Y0", "G92 Z0", "G92.1", "G92.2", "G92.3",
    "G91", "G90", "G91 G0 X{d}", "G91 G0 Z{d}", "G0 X{a} Y{b}", "G0 X{a}", "G0 Z{c}", "G0 Z-{c}", "G1 Z{d}", "G1 Z-44",
    "G1 Z-44 F500", "G1 X{a} Y{b} F1000", "M62 P0", "M63 P0", "M64 P0", "M64 P0.", "M65 P0", "M0", "M1", "M2", "M30",
    "M3", "M03", "M4", "M5", "M6 T1", "M8", "M9", "M60", "G28", "G28 Z0", "G30", "G91 G28 Z0", "G4 P0", "G4 P0.5",
    "G4 P5", "G20", "G21", "G17", "G18", "G19", "G54", "G55", "G41", "G40", "G43 H1", "G49", "G80", "G93", "G94", "G61",
    "G64", "G64 P5", "G90.1", "G91.1", "G52 X5", "F60", "F10000", "S1000", "G10 L2 P1 X0 Y0", "G10 L2 P1 X{a}",
    "G10 L20 P1 X0 Y0", "G10 L20 P1 Z0", "{probe} Z-20 F1000", "{probe} X5 Z-20 F1000", "{probe} Z-1.5 F150",
    "%", "N5 G0 X{a}", "G2 X{a} Y{b} I5 J0", "M48", "M7",
)  # fmt: skip
WITH_PARAMETERS = (
    "G0 X#5221", "G0 X#5221 Y#5222", "#5221=0", "#5221={a}", "#5223=0", "#101=0", "#101=-44", "G0 Z#5063",
    "G1 Z#101 F500", "#102=SQRT[1]", "#100=5", "G0 Z[#101+2]", "G10 L2 P1 Z#5063", "G92 Z#5063",
)  # fmt: skip


@edit("line put in", 14)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines:
    unit = 25.4 if s.rig.inches else 1.0
    pool = PLAUSIBLE + (WITH_PARAMETERS * 2 if s.dialect.expressions else ())
    values = {
        "a": number(r.uniform(-20, 200) / unit), "b": number(r.uniform(-20, 150) / unit),
        "c": number(r.choice([1, 2, 5, 25, 40, 60]) / unit), "d": number(r.choice([-20, -5, -1, 1, 5, 20]) / unit),
        "probe": f"G{s.dialect.probe:g}",
    }  # fmt: skip
    at = spot(r, lines)
    return [*lines[:at], r.choice(pool).format(**values), *lines[at:]]


@edit("line pair put in", 2)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines:
    unit = 25.4 if s.rig.inches else 1.0
    pairs = (
        ("G91", "G90"), ("G20", "G21"), ("G21", "G20"), ("G55", "G54"), ("M5", "M3"), ("M3", "M5"),
        ("M64 P0", "M65 P0"), ("G92 X0 Y0", "G92.1"), ("G41", "G40"), ("G93", "G94"), ("G18", "G17"),
        (f"G0 Z{number(5 / unit)}", "G4 P0.1"), ("G53 G0 Z0", f"G53 G0 X{number(300 / unit)}"), ("G10 L2 P1 X0", "G54"),
    )  # fmt: skip
    first, then = r.choice(pairs)
    at = spot(r, lines)
    to = min(len(lines), at + r.randint(1, 8))
    return [*lines[:at], first, *lines[at:to], then, *lines[to:]]


# --- comments and heading ---------------------------------------------------------------------------------------------

STOPS = (
    "(new sheet on the table)", "(change sheet)", "(plate 2)", "(turn the sheet)", "(rest 10 min)", "(rest)",
    "(tip change)", "(MSG, next plate)", "(look at the tip)",
)  # fmt: skip


@edit("stop with a comment put in", 3)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    parts = blocks(lines)
    at = r.choice([a for a, _ in parts]) if parts and r.random() < 0.7 else spot(r, lines)
    return [*lines[:at], r.choice(STOPS), r.choice(["M0", "M1"]), *lines[at:]]


@edit("comment changed", 3)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines | None:
    found = [k for k, line in enumerate(lines) if line.startswith("(") and "proof:" not in line]
    if not found:
        return None
    at = r.choice(found)
    ways = [
        lambda: without(lines, at),
        lambda: [*lines[:at], lines[at].replace("hole", "outline"), *lines[at + 1 :]],
        lambda: [*lines[:at], lines[at][:-1] + " \x0c \x85 \u2028)", *lines[at + 1 :]],
        lambda: [*lines[:at], "(SHEET CHANGE M3 G0 X5)", *lines[at:]],
        lambda: [*lines[:at], lines[at].upper(), *lines[at + 1 :]],
        lambda: [*lines[:at], r.choice(STOPS), *lines[at:]],
    ]
    return list(r.choice(ways)())


def _heading(r: random.Random, lines: Lines, s: Subject) -> Lines:
    """Return the lines with something else claimed in the heading."""
    found = [k for k, line in enumerate(lines[:400]) if line.startswith("(proof:")]
    if not found:
        return lines
    x, y = r.choice(r.choice(s.right[0].burns).points) if s.right[0].burns else (10.0, 10.0)
    x0, y0, x1, y1 = s.plate
    claims = (
        "(proof: role = ignore 0)", "(proof: role = mark 0)", f"(proof: tab = {x:.3f} {y:.3f} 0 {x + 8:.3f} {y:.3f} 0)",
        f"(proof: tab = {x:.3f} {y:.3f} 1 {x + 12:.3f} {y:.3f} 1 {x:.3f} {y:.3f} 0)",
        f"(proof: left-out = hole 1 D12 at {x:.3f} {y:.3f} mm)", "(proof: kerf = 2.000 mm chosen)",
        "(proof: kerf = 1.000 mm chosen)", "(proof: feed = 4000 mm/min chosen)", "(proof: feed = 800 mm/min chosen)",
        "(proof: pierce-delay = 0 s chosen)", "(proof: rule = gouge off it is scrap)",
        "(proof: rule = not-cut off cut by hand)", "(proof: rule = travel-too-low note it clears)",
        "(proof: mode = dry)",
        "(proof: mode = touch)", f"(proof: plate = {x0:.3f} {y0:.3f} {x1 + 300:.3f} {y1 + 300:.3f} mm)",
        "(proof: join = 5 mm)", "(proof: material = mild steel 1 mm 25 A)", "(proof: page = ignore)",
        "(proof: window = 0 0 30 30 mm)", '(proof: coupon = {"kind":"kerf","meant":["gouge","no-pierce-delay"]})',
        "(NOT PROVEN, WRITTEN WITH ERRORS)", "(proof: shift = 12.0000 11.4500 mm turn 0 deg)",
        "(proof: drill-marks = dot 30 mm)",
    )  # fmt: skip
    at = r.choice(found)
    if r.random() < 0.25:
        return without(lines, at)
    claim = r.choice(claims)
    key = claim.partition("=")[0]
    if r.random() < 0.6:  # in the place of what stands there
        lines = [line for k, line in enumerate(lines) if k not in found or not line.startswith(key)]
    at = min(at, len(lines))
    return [*lines[:at], claim, *lines[at:]]


@edit("heading changed", 4)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines:
    return _heading(r, lines, s)


@edit("heading and a line changed", 5)
def _(r: random.Random, lines: Lines, s: Subject) -> Lines | None:
    kinds = ("block dropped", "number changed", "line dropped", "number changed everywhere", "blocks exchanged")
    changed = EDITS[r.choice(kinds)][1](r, lines, s)
    return None if changed is None else _heading(r, changed, s)


# --- spelling ---------------------------------------------------------------------------------------------------------


def respelled(r: random.Random, lines: Lines) -> Lines:
    """Return the lines spelled otherwise, doing the same."""
    chosen = r.sample(["numbers", "bare", "lower", "zeros", "points", "spaces", "ends"], r.randint(1, 3))
    out, count = [], 0
    for line in lines:
        if line.startswith("("):
            if "bare" not in chosen or "proof:" in line:
                out.append(line)
            continue
        if "zeros" in chosen:
            line = re.sub(r"([GM])(\d)(?![\d.])", r"\g<1>0\2", line)
        if "points" in chosen:
            line = re.sub(r"([XYZFP]-?\d+)(?![\d.])", r"\1.", line)
        if "spaces" in chosen:
            line = re.sub(r" ", r.choice(["", "  ", "\t"]), line)
        if "lower" in chosen:
            line = line.lower()
        if "numbers" in chosen and line and not line.startswith("/"):
            count += 10
            line = f"N{count % 99990} {line}"
        out.append(line)
    return [line + "\r" for line in out] if "ends" in chosen else out


@edit("spelled otherwise", 4)
def _(r: random.Random, lines: Lines, _s: Subject) -> Lines:
    return respelled(r, lines)


# --- judging ----------------------------------------------------------------------------------------------------------

REASONS = {
    "block-delete-matters": "what the line does depends on a switch of the panel",
    "datum-while-moving": "a control that reads ahead sets the datum too early; the simulator reads line by line",
    "raise-before-arc-out": "how long the arc takes to die is not simulated",
    "bare-axes-after-probe": "whether bare axes search again differs between controls",
    "touch-off-miss-unguarded": "the simulated tables have a plate everywhere: what guards a missing one has no effect",
    "search-too-deep": "as above: only a missing plate tells",
    "search-from-unknown-frame": "as above: what a stale frame does depends on the control",
    "cut-may-hang": "the lag of the lower edge is not simulated",
    "relight-too-soon": "the lockout of the power source is not simulated",
    "duty-over": "heat is not simulated",
    "feed-missing": "a feed left by an earlier job",
    "height-without-datum": "where machine zero of an unhomed Z lies is luck of the table",
    # Changed and changed back with no move between them. A program begun anew at a line between would cut wrong.
    "work-offset-changed": "another offset may hold another plate's zero",
    "plane-not-xy": "arcs begun anew there lie in another plane",
    "units-missing-or-changed": "moves begun anew there are 25 times as long",
    "compensation-left-on": "moves begun anew there lie aside",
    "datum-touches-xy": "what is stored outlives the program, and jobs that follow rely on it",
    "new-plate-unproven": "the simulated operator reads no comments; a real one changes the sheet in mid-part",
}
"""Rules that may refuse what does no harm on good tables, and why."""
CLAIMS = ("heading changed", "heading and a line changed")
"""Kinds in which the heading says what the program does not do: to tell that is right."""

CLASSES = (
    "harmful, error", "harmful, warning", "harmful, SILENT", "harmless, silent", "harmless, warned", "harmless, told",
    "harmless, REFUSED", "doubtful, error", "doubtful, warning", "doubtful, silent",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Judged:
    """One edit and what both say of it."""

    seed: int
    name: str
    kind: str
    text: str
    changes: tuple[str, ...]
    harm: Harm
    errors: tuple[str, ...]
    """Rules of new errors."""
    warnings: tuple[str, ...]
    sentences: tuple[str, ...]

    @property
    def word(self) -> str:
        """One of `CLASSES`."""
        seen = self.harm.word
        if seen == "harm":
            return "harmful, error" if self.errors else "harmful, warning" if self.warnings else "harmful, SILENT"
        excused = self.kind in CLAIMS or self.name.startswith("piece:") or self._for_reasons
        if seen == "none" and self.errors and excused:  # a test piece that was changed is excused nothing any more
            return "harmless, told"
        if seen == "none":
            return "harmless, REFUSED" if self.errors else "harmless, warned" if self.warnings else "harmless, silent"
        return "doubtful, error" if self.errors else "doubtful, warning" if self.warnings else "doubtful, silent"

    @property
    def _for_reasons(self) -> bool:
        """Whether all errors have a reason; a value that an earlier program left behind is no value, whatever it is."""
        stale = any("it keeps a value from earlier" in sentence for sentence in self.sentences)
        return set(self.errors) <= set(REASONS) | ({"unreadable-text"} if stale else set())


GROUPS = {"cut": 70, "long": 12, "unlit": 8, "rest": 6, "piece": 4}
"""Share of each group of subjects."""


def chosen(r: random.Random, dialect: str = "", group: str = "", among: Sequence[str] = ()) -> str:
    """Return the name of a subject by lot."""
    while not among:
        kind = group or r.choices(list(GROUPS), list(GROUPS.values()))[0]
        fit = [n for n in edit_subjects.names(kind) if not dialect or f"/{dialect}/" in n]
        if fit:
            return r.choice(fit)
    return r.choice(among)


def edited(
    seed: int, dialect: str = "", group: str = "", kind: str = "", among: Sequence[str] = ()
) -> tuple[str, str, str, tuple[int, ...], tuple[str, ...]]:
    """Return subject, kind, text, tables and what was changed of a seed."""
    r = random.Random(seed)
    name = chosen(r, dialect, group, among)
    one = subject(name)
    lines = one.text.split("\n")[:-1]
    kinds = list(EDITS)
    while True:
        what = kind or r.choices(kinds, [EDITS[k][0] for k in kinds])[0]
        made = EDITS[what][1](r, list(lines), one)
        if made is None or made == lines:
            continue
        told = changes(one.text, "\n".join(made) + "\n")
        if what != "spelled otherwise" and r.random() < 0.15:
            made, told = respelled(r, made), (*told, "and spelled otherwise")
        return name, what, "\n".join(made) + "\n", tuple(sorted(r.sample(range(POOL), 3))), told


def judged(seed: int, dialect: str = "", group: str = "", kind: str = "", among: Sequence[str] = ()) -> Judged:
    """Return what simulator and proof say of the edit of a seed."""
    name, what, text, tables, told = edited(seed, dialect, group, kind, among)
    return replace(judge(name, text, what, seed, tables), changes=told)


def judge(name: str, text: str, kind: str = "", seed: int = 0, tables: tuple[int, ...] = (0, 1, 2)) -> Judged:
    """Return what simulator and proof say of a text in the place of a subject's program."""
    one = subject(name)
    harm = one.simulated(text, tables)
    found = one.proved(text)
    if harm.word == "none" and any(sev == "error" for sev, _, _ in found):  # a refusal deserves a second look
        harm = one.simulated(text, tuple(k for k in range(POOL) if k not in tables))
    more = {key for key, n in counted(found).items() if n > one.known.get(key, 0)}
    new = [(sev, rule, sentence) for sev, rule, sentence in found if f"{sev} {rule}" in more]
    return Judged(
        seed, name, kind, text, changes(one.text, text), harm,
        tuple(dict.fromkeys(rule for sev, rule, _ in new if sev == "error")),
        tuple(dict.fromkeys(rule for sev, rule, _ in new if sev == "warning")),
        tuple(sentence for _, _, sentence in new),
    )  # fmt: skip


def changes(old: str, new: str, most: int = 12) -> tuple[str, ...]:
    """Return the lines that an edit changed, with their numbers: ``-`` gone, ``+`` new."""
    import difflib

    a, b = old.split("\n"), [line.rstrip("\r") for line in new.split("\n")]
    out: list[str] = []
    for tag, a0, a1, b0, b1 in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag != "equal":
            out += [f"-{k + 1}: {a[k]}" for k in range(a0, a1)] + [f"+{k + 1}: {b[k]!r}" for k in range(b0, b1)]
    return tuple(out[:most] + ([f"... {len(out) - most} more"] if len(out) > most else []))
