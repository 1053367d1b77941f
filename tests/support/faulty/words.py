"""Words in the wrong place, values that are worked out, numbers that only look like numbers, the switch for slashes."""

from __future__ import annotations

import re
from collections.abc import Callable

from kerfproof.gcode.machine_control import control_of
from support.faulty.subject import FAULTS, NUMBER, Fault, Lines, Subject, changed, fault, value

Place = Callable[[Subject], "int | None"]


def _expressions(s: Subject) -> bool:
    return control_of(s.outcome.machine).expressions


def _before(place: Place, *new: str, only: Callable[[Subject], bool] = lambda s: True) -> Fault:
    """Put lines before one of the block; ``{5}`` in them is 5 mm in program units."""

    def plant(s: Subject) -> Lines | None:
        at = place(s) if only(s) else None
        if at is None:
            return None
        said = [re.sub(r"\{(-?[\d.]+)\}", lambda m: f"{float(m[1]) / s.unit:.5f}", line) for line in new]
        return changed(s.lines, at, *said, s.lines[at])

    return plant


def _begin(s: Subject) -> int:
    return s.here[0]


def _light(s: Subject) -> int:
    return s.light


def _go(s: Subject) -> int | None:
    return s.find(r"^G0 .*X", s.here)


def _first(s: Subject) -> int:
    return s.cut_moves()[0]


def _mid(s: Subject) -> int | None:
    """Return a move in the middle of a cut that says where X goes."""
    moves, lines = s.cut_moves(), s.lines
    return next((k for k in moves[len(moves) // 2 :] if "X" in lines[k]), None) if len(moves) > 3 else None


def _raise(s: Subject) -> int | None:
    return s.find(r"^G0 Z", (s.off, len(s.lines)))


def _to_cut_height(s: Subject) -> int | None:
    rises = s.rises()
    return rises[-1] if rises else None


# --- words in the wrong place -----------------------------------------------------------------------------------------

FAULTS["M4 in a cut"] = _before(_mid, "M4")
FAULTS["torch pulsed in a cut"] = _before(_mid, "M5", "M3")
FAULTS["tool change between touch-off and light-up"] = _before(_light, "T2 M6")
FAULTS["stop of its own pallet in a cut"] = _before(_mid, "M60")
FAULTS["wait for an input in a cut"] = _before(
    _mid, "M66 P0 L3 Q5", only=lambda s: "M66" in control_of(s.outcome.machine).outputs
)
FAULTS["program end in a cut"] = _before(_mid, "M30")
FAULTS["percent sign in a cut"] = _before(_mid, "%")
FAULTS["shifts cleared between touch-off and light-up"] = _before(
    _light, "G92.1", only=lambda s: not control_of(s.outcome.machine).datum_survives_end
)
FAULTS["work zero set anew at a block"] = _before(_begin, "G10 L20 P1 X0 Y0")
FAULTS["coordinate system turned"] = _before(_begin, "G10 L2 P1 R10")
FAULTS["Z of the work offset written before the light-up"] = _before(_light, "G10 L2 P1 Z{5}")
FAULTS["other work offset for one move of a cut"] = lambda s: (
    None if (at := _mid(s)) is None else changed(s.lines, at, "G55", s.lines[at], "G54")
)
FAULTS["way home between touch-off and light-up"] = _before(_light, "G28")
FAULTS["way home of Z alone between touch-off and light-up"] = _before(_light, "G28 Z{0}")
FAULTS["another home stored"] = _before(_begin, "G28.1")
FAULTS["feed per turn"] = _before(_first, "G95")
FAULTS["macro call with words"] = _before(_begin, "G65 P100")
FAULTS["turned coordinates"] = _before(_begin, "G68 R10")
FAULTS["scaled coordinates"] = _before(_begin, "G51 P2")
FAULTS["drilling cycle"] = _before(_begin, "G81 X{40} Y{40} Z{-5} R{2}")
FAULTS["loop around a cut"] = lambda s: [
    *s.lines[: s.light], "o100 repeat [2]", *s.lines[s.light : s.off + 1], "o100 endrepeat", *s.lines[s.off + 1 :]
]  # fmt: skip
FAULTS["drag at cut height after the torch is off"] = _before(_raise, "G1 X{60} Y{40} F{2000}")
FAULTS["pressed on the plate after the torch is off"] = _before(_raise, "G1 Z{-8} F{500}")


@fault("searched once more after the datum")
def _(s: Subject) -> Lines | None:
    found, before = s.searches(), s.lines[s.light - 1]
    again = [re.sub(r"Z\S+", f"Z{-30 / s.unit:.5f}", s.lines[k]) for k in found[-1:]]
    return changed(s.lines, s.light - 1, before, *again) if found else None


@fault("way and dive in one line")
def _(s: Subject) -> Lines | None:
    at = _go(s)
    return None if at is None else changed(s.lines, at, f"{s.lines[at]} Z{-19 / s.unit:.5f}")


@fault("ramp down in a cut")
def _(s: Subject) -> Lines | None:
    at = _mid(s)
    return None if at is None else changed(s.lines, at, f"{s.lines[at]} Z{-3 / s.unit:.5f}")


@fault("torch lit on the line of the first cut")
def _(s: Subject) -> Lines | None:
    at = _first(s)
    if s.outcome.machine.torch_on != "M3":
        return None
    return [*s.lines[: s.light], *s.lines[s.light + 1 : at], f"{s.lines[at]} M3", *s.lines[at + 1 :]]


# --- values that are worked out ---------------------------------------------------------------------------------------

FAULTS["trip written over"] = _before(
    lambda s: s.find(r"^G1 Z#5063", s.here), "#5063={-40}", only=lambda s: bool(control_of(s.outcome.machine).guard)
)
FAULTS["active coordinate system written"] = _before(_go, "#5220=2", only=_expressions)
FAULTS["shift written past G92"] = _before(_go, "#5211={3}", only=_expressions)


def _worked_out(place: Place, letter: str, *before: str, by: str) -> Fault:
    """Write a value as an expression; ``{}`` in it stands for the value."""

    def plant(s: Subject) -> Lines | None:
        at = place(s)
        number = None if at is None else value(s.lines[at], letter)
        if at is None or number is None or not _expressions(s):
            return None
        said = [line.format(number) for line in before]
        line = re.sub(rf"{letter}{NUMBER}", letter + by.format(number), s.lines[at], count=1)
        return changed(s.lines, at, *said, line)

    return plant


FAULTS["feed worked out ten times"] = _worked_out(_first, "F", "#120={}", by="[#120*10]")
FAULTS["feed worked out in the wrong unit"] = _worked_out(_first, "F", by="[{}/25.4]")
FAULTS["feed of a parameter that nobody set"] = _worked_out(_first, "F", by="#130")
FAULTS["cut height worked out three times"] = _worked_out(_to_cut_height, "Z", by="[{}*3]")
FAULTS["cut height of a parameter that nobody set"] = _worked_out(_to_cut_height, "Z", by="#31")
FAULTS["rank of operators mistaken"] = _worked_out(_mid, "X", by="[{}+2*3-2**2]")


@fault("parameter used on the line that sets it")
def _(s: Subject) -> Lines | None:
    """Let the old value count: parameters take theirs after all of the line was read (NISTIR 6556, 3.3.2.1)."""
    at = _to_cut_height(s)
    if at is None or not _expressions(s):
        return None
    good = value(s.lines[at], "Z")
    return changed(s.lines, at, f"#140={9 / s.unit:.5f}", f"#140={good} {re.sub(rf'Z{NUMBER}', 'Z#140', s.lines[at])}")


@fault("light delay of a parameter, a tenth")
def _(s: Subject) -> Lines | None:
    at = s.waits()[0]
    delay = value(s.lines[at], "P")
    if not delay or not _expressions(s):
        return None
    return changed(s.lines, at, f"#110={delay / 10:.5f}", "G4 P#110")


# --- numbers that only look like numbers, and words that are hidden ---------------------------------------------------


def _misspelled(pattern: str, by: str | Callable[[re.Match[str]], str]) -> Fault:
    """Write a move in the middle of a cut otherwise."""

    def plant(s: Subject) -> Lines | None:
        at = _mid(s)
        return None if at is None else changed(s.lines, at, re.sub(pattern, by, s.lines[at], count=1))

    return plant


FAULTS["number with an exponent"] = _misspelled(r"X([\d.]+)", lambda m: f"X{float(m[1]) / 100:.7f}E2")
FAULTS["number with a comma"] = _misspelled(r"X(\d+)\.(\d)", r"X\1,\2")
FAULTS["number with two points"] = _misspelled(r"X(\d+)\.(\d)", r"X\1..\2")
FAULTS["number with two signs"] = _misspelled(r"X(\d)", r"X--\1")
FAULTS["number with a line below"] = _misspelled(r"X(\d)(\d)", r"X\1_\2")
FAULTS["number of no digits"] = _misspelled(r"X[\d.]+", "X")
FAULTS["number that is none"] = _misspelled(r"X[\d.]+", "Xnan")
FAULTS["word twice in a line"] = _misspelled(r"(X[\d.]+)", r"\1 \1")
FAULTS["two motion words in a line"] = _misspelled(r"^", "G0 ")
FAULTS["torch off word on the line of a cut"] = lambda s: (
    None if s.outcome.machine.torch_off != "M5" or (at := _mid(s)) is None
    else changed(s.lines, at, f"{s.lines[at]} M5")
)  # fmt: skip
FAULTS["other distance mode on the line of a cut"] = _misspelled(r"$", " G91")
FAULTS["raise made a comment"] = lambda s: (
    None if s.last or (at := _raise(s)) is None else changed(s.lines, at, f"({s.lines[at]})")
)

# --- lines that the switch for slashes leaves out ---------------------------------------------------------------------


def _slashed(place: Place, slash: str = "/") -> Fault:
    def plant(s: Subject) -> Lines | None:
        at = place(s)
        return None if at is None else changed(s.lines, at, slash + s.lines[at])

    return plant


FAULTS["move of a cut behind a slash"] = _slashed(_mid)
FAULTS["way behind a slash"] = _slashed(_go)
FAULTS["raise behind a slash"] = _slashed(_raise)
FAULTS["datum behind a slash"] = _slashed(lambda s: next(reversed(s.datums()), None))
FAULTS["move of a cut behind a slash with a number"] = _slashed(_mid, "/2 ")
FAULTS["torch lit behind a slash on the way"] = _before(_go, "/M3")
FAULTS["other way behind a slash"] = _before(_begin, "/G0 Z{-30}")
