"""Edits that went wrong once: harm that nobody told, or harmless spellings that were refused. Each with its subject."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from support.programs.edit_subjects import subject

NGC = "cut plate contact float/ngc/mm"
DRY = "dry plate special/output torch"
OUTPUT = "cut plate special/output torch"
BLEND = "cut wedge special/blend"
MACRO = "cut plate contact float/skip_macro/in"
SQUARE = "piece:square - contact float/skip/mm"
KERF = "piece:kerf - contact float/compact/mm"
OHMIC = "cut wedge contact ohmic/compact/in"
OHMIC_TRIP = "cut wedge contact ohmic/skip_macro/mm"
FIXED = "cut wedge contact none/skip/in"
SILENT = "cut plate contact float/skip/mm"
FRAME = "frame plate special/output torch"
EDGE = "cut pair pilot float/skip/mm"
HOMED = "cut wedge pilot float/ngc/in"
HOMED_OHMIC = "cut wedge pilot ohmic/ngc_blend/mm"


def _put(name: str, old: str, new: str, which: int = 0) -> tuple[str, str]:
    """Return a subject and its text with one of the places that match replaced."""
    text = subject(name).text
    found = list(re.finditer(old, text, re.MULTILINE))[which]
    return name, text[: found.start()] + found.expand(new) + text[found.end() :]


def _all(name: str, old: str, new: str) -> tuple[str, str]:
    text, count = re.subn(old, new, subject(name).text, flags=re.MULTILINE)
    assert count
    return name, text


def _blocks(text: str) -> list[str]:
    """Return heading, blocks of cuts and end."""
    marks = [m.start() for m in re.finditer(r"^\(cut \d+ of", text, re.MULTILINE)]
    end = re.search(r"^M5\nG0 Z25\nG92", text, re.MULTILINE)
    assert end
    at = [0, *marks, end.start(), len(text)]
    return [text[a:b] for a, b in itertools.pairwise(at)]


def known() -> Iterator[tuple[str, str, str]]:
    """Yield label, subject and text of each."""
    first, second, third = "^G0 X33.45 Y31.45$", "^G0 X96.45 Y60.725$", "^G1 X11.45 Y10.725$"
    pairs: dict[str, tuple[str, str]] = {
        "first move leans on the parked torch": _put(NGC, first, "G91 G0 X10 Y10\nG90"),
        "no place before the first pierce": _put(NGC, first + "\n", ""),
        "travel in machine coordinates": _put(NGC, second, r"G53 G0 X96.45 Y60.725"),
        "cut in machine coordinates": _put(NGC, third, r"G53 G1 X11.45 Y10.725"),
        "place from stored parameters": _put(NGC, first, "G0 X#5221 Y#5222"),
        "zero at the parked torch": _put(NGC, first, r"G92.0 X0 Y0\n\g<0>"),
        "zero instead of a move": _put(NGC, first, "G92 X33.45 Y31.45"),
        "search over a slug that dropped": _put(
            NGC, second, r"G0 X33.45 Y31.45\nG4 P0.2\nG92 Z0\nG38.2 Z-49 F1000\nG1 Z25 F600\n\g<0>"
        ),
        "lit torch driven 15 mm into the plate": _put(NGC, "^G1 Z3 F900$", "G1 Z-15 F900", 1),
        "no raise after the last cut": _put(NGC, "^G0 Z25\nM5\nG0 Z25\n", "M5\n"),
        "stop before the raise": _put(NGC, r"^M5\nG4 P0.3\n", r"\g<0>M0\n"),
        "no back-off before the second search": _put(OHMIC, r"^G1 Z0.08\d* F23.622\n", ""),
        "corners rounded by 5 mm": _all(BLEND, "^G64 P0.05$", "G64 P5"),
        "line numbers everywhere": _all(NGC, r"^(?!\()(.+)$", r"N10 \1"),
        "line numbers before guards": _all(MACRO, r"^(?!\()(.+)$", r"N10 \1"),
        "strange signs in a comment": _put(NGC, r"^\(part plate, hole 1 D12", "\\g<0> \x0c \x85 \u2028"),
        "homed, way home after the last cut": _put("cut wedge special/homed float", "^G92.1$", r"G28\n\g<0>"),
        "a corner of a test piece dropped": _put(SQUARE, r"^G2 X10\.725 .*\n", ""),
        "a cut of a test piece 2 mm aside": _put(KERF, r"^G0 X114\.675 Y10\.725$", "G0 X114.675 Y12.725"),
        "no pierce delay, chosen in the heading": (
            NGC,
            _all(NGC, r"^G4 P0.033\nG1 Z1.5 F900$", "G1 Z1.5 F900")[1]
            .replace("G1 Z3 F900\n", "")
            .replace("(proof: join", "(proof: pierce-delay = 0 s chosen)\n(proof: join"),
        ),
        "feed doubled, chosen in the heading": (
            NGC, _all(NGC, "F2200", "F4400")[1].replace("feed = 2200 mm/min", "feed = 4400 mm/min chosen")
        ),
    }  # fmt: skip
    for high in ("3", "2.1"):
        low = _put(NGC, second, r"\g<0>\nG0 Z25")[1]
        pairs[f"travel {high} mm over the plate that was found last"] = NGC, low.replace("G0 Z25", f"G0 Z{high}", 1)
    pairs |= {
        "3 mm of travel at cut height": _put(
            OHMIC_TRIP, r"^(G1 X71.4039 Y107.7347)\n(G1 X73.0059.*\nM5\nG4 P0.3)", r"\2\n\1"
        ),
        "first search of a silent control begun 20 mm deeper": _put(SILENT, "^G92 Z0$", "G92 Z-20"),
        "first search of a silent control begun 20 mm higher": _put(SILENT, "^G92 Z0$", "G92 Z20"),
        "a later search of a silent control begun 20 mm deeper": _put(SILENT, "^G92 Z0$", "G92 Z-20", 2),
        "second search begun under the plate, inches": _put(HOMED, r"^G1 Z\[#101\+0.07874\]", "G1 Z-2.3622"),
        "second search begun under the plate, ohmic": _put(HOMED_OHMIC, r"^G1 Z\[#101\+2\]", "G1 Z-60"),
        "raised over where it was parked between two touches": _put(NGC, r"^G1 Z\[#101\+2\]", "G1 Z3"),
        "G53 without an axis beside G80": _put(NGC, "^G17 G40 G49 G80$", "G17 G53 G49 G80", 2),
        "datum by the trip in place of the number": _put(OHMIC_TRIP, "^#101=#5063$", r"G92 Z#5063\n\g<0>"),
        "a place ten times as far": _put(NGC, second, "G0 X964.5 Y60.725\n\\g<0>"),
        "frame before its work offset is named": _put(FRAME, r"^G54\n((?:.*\n)*?)(G0 X.*\n)", r"\2G54\n\1"),
        "touch-off and start on the edge of the plate": _put(EDGE, "^G0 X76.675 Y10.725$", "G0 X76.675 Y0"),
        "travel on the line of a stop": _put(FIXED, "^M1$", "M1 Y4.45366"),
    }
    for k in (1, 2):
        pairs[f"touch-off thrown away, block {k + 1}"] = _put(NGC, "^G1 Z#5063 F60$", "G1 Z-44 F60", k)
        pairs[f"search drags sideways, block {k + 1}"] = _put(
            NGC, "^G38.2 Z-(?!84)[0-9.]+ F1000$", "G38.2 X40 Z-49 F1000", k - 1
        )
    for word in ("M64 P0", "M64 P0.", "N10 M64 P0", "M064 P0", "M64 P[0]", "M62 P0", "m64p0", "M64 P.0", "M64 P+0"):
        pairs[f"dry run, {word}"] = _put(DRY, first, word + r"\n\g<0>")
    for old, new in (("M64 P0", "M64 P0."), ("M64 P0", "M064 P0"), ("M65 P0", "N5 M65 P0"), ("M65 P0", "m65 p[0]")):
        pairs[f"torch by an output, {old} written {new}"] = _all(OUTPUT, f"^{old}$", new)
    for word in ("M62 P1", "M63 P1", "M64 P1", "M68 E0 Q1"):
        pairs[f"another output in every cut, {word}"] = _all(BLEND, "^G1 Z1.5 F900$", rf"\g<0>\n{word}")
    head, one, two, last, end = _blocks(subject(NGC).text)
    pairs["hole after its outline"] = NGC, head + one + last + two + end
    pairs["hole after its outline, behind a change of the sheet"] = (
        NGC, head + one + last + "(change the sheet)\nM0\n" + two + end
    )  # fmt: skip
    for claim in (
        "role = ignore 0", "contour-role = ignore at 73.0000 45.0000 mm of plate.dxf", "window = 0 0 50 200 mm",
        "left-out = hole 2 D24 at 96.450 56.450 mm", "tab = 96.45 44.5 1 96.45 68.4 1 96.45 44.6 0",
    ):  # fmt: skip
        text = head.replace("(proof: join", f"(proof: {claim})\n(proof: join") + one + last + end
        pairs[f"hole 2 not cut, the heading says {claim.partition(' =')[0]}"] = NGC, text
    for label, (name, text) in pairs.items():
        yield label, name, text
