"""What the program of a test piece tells of it: facts written into the heading and read back."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from kerfproof.box import Box
from kerfproof.coupon.piece import CouponRequest
from kerfproof.gcode.header_lines import read_heading
from kerfproof.gcode.reader.lexer import lines_of

KEY = "coupon"
"""Key of the facts in the heading of a program."""
WISH = "wish"
"""Among the facts: what the person asked for, so that the same piece can be made again."""


def heading(bench: CouponRequest, plate: Box, mode: str, facts: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return the heading that lets the proof be repeated and the readings be understood."""
    p = bench.process
    digest = hashlib.sha256(repr(bench.machine).encode()).hexdigest()[:16]
    return (
        ("machine", f"{bench.machine.name} {digest}"),
        ("material", f"{p.material} {p.thickness:g} mm {p.amps:g} A"),
        ("kerf", f"{p.kerf:.3f} mm"),
        ("feed", f"{round(p.feed_mm_min, 4):.10g} mm/min"),
        *([("plate", " ".join(f"{v:.3f}" for v in plate) + " mm")] if plate[2] > plate[0] else []),
        ("mode", mode),
        (KEY, json.dumps(facts, separators=(",", ":"))),
    )


def read_facts(text: str) -> dict[str, Any] | None:
    """Return the facts in the heading of a test piece's program, None if it is none."""
    written = written_facts(text)
    if written is None:
        return None
    try:
        facts = json.loads(written)
    except ValueError:
        return None
    return facts if isinstance(facts, dict) and isinstance(facts.get("kind"), str) else None


def written_facts(text: str) -> str | None:
    """Return what the heading of a program says of a test piece, None if nothing."""
    comments = [line for line in lines_of(text)[:2000] if line.lstrip().startswith("(")]
    return read_heading(c.strip() for c in comments).get(KEY)


def wish_of(bench: CouponRequest) -> dict[str, Any]:
    """Return what the person asked for, as one of the facts; empty if that was nothing."""
    wish = {"sizes": list(bench.sizes), "count": bench.count, "vary": list(bench.vary)}
    kept = {key: value for key, value in wish.items() if value not in ([], None)}
    return {WISH: kept} if kept else {}
