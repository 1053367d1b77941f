"""Drawings damaged at random, from a seed: what a bad disk, a bad export or a careless edit make of them."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from kerfproof import api
from kerfproof.errors import KerfproofError
from kerfproof.job.job import DrawingUse, Job, SmallHoles
from support.drawings.drawings import as_bytes, new
from support.drawings.ways import WAYS, part_of
from support.shop.shop import built_in, chart, demo

SLOWEST_S = 10.0
NUMBERS = (
    "nan",
    "NaN",
    "inf",
    "-inf",
    "1e308",
    "-1e308",
    "1e-308",
    "",
    " ",
    "0",
    "-1",
    "1,5",
    "1.2.3",
    "0x1F",
    "9" * 400,
)
GEOMETRY = {10, 11, 20, 21, 30, 40, 41, 42, 50, 51, 210, 220, 230}


@dataclass(frozen=True)
class Result:
    """What became of a damaged drawing, in `seconds` of the processor; `fault` is empty when that was right."""

    seed: int
    kind: str
    end: str
    seconds: float
    fault: str = ""


@cache
def bases() -> tuple[bytes, ...]:
    rng = np.random.default_rng(1)
    drawn = [WAYS[way](part_of(3), rng) for way in ("whole", "soup", "splines", "mirrored twice", "exploded")]
    return (*drawn, demo("gusset"), blocks())


def blocks() -> bytes:
    """Return a drawing of nested, arrayed, uneven blocks with text, a dimension and an ellipse."""
    document, space = new(version="R2000")
    hole = document.blocks.new("HOLE")
    hole.add_circle((0, 0), 3)
    row = document.blocks.new("ROW")
    row.add_blockref("HOLE", (10, 0), dxfattribs={"column_count": 3, "column_spacing": 20, "xscale": 1.5})
    space.add_blockref("ROW", (10, 20), dxfattribs={"row_count": 2, "row_spacing": 20, "yscale": 1})
    space.add_lwpolyline([(0, 0), (100, 0, 0.3), (100, 60), (0, 60)], format="xyb", close=True)
    space.add_ellipse((80, 30), (8, 2), 0.5)
    space.add_text("A", dxfattribs={"layer": "TEXT"})
    space.add_point((5, 5))
    return as_bytes(document)


def mutant(seed: int) -> tuple[str, bytes]:
    """Return the kind of damage and the damaged drawing."""
    rng = np.random.default_rng([7, seed])
    data = bases()[int(rng.integers(len(bases())))]
    name = list(DAMAGES)[seed % len(DAMAGES)]
    return name, DAMAGES[name](data, rng)


def _lines(data: bytes) -> list[bytes]:
    return data.replace(b"\r\n", b"\n").split(b"\n")


def _tags(lines: Sequence[bytes], rng: np.random.Generator, count: int = 1, codes: set[int] | None = None) -> list[int]:
    """Return lines of group codes, mostly among the entities."""
    start = next((k for k, line in enumerate(lines) if line.strip() == b"ENTITIES"), 0) if rng.random() < 0.8 else 0
    even = [k for k in range(start + start % 2, len(lines) - 1, 2)]
    if codes is not None:
        even = [k for k in even if lines[k].strip().isdigit() and int(lines[k]) in codes] or even
    return sorted(int(even[k]) for k in rng.integers(len(even), size=count))


def _drop(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    for k in reversed(_tags(lines, rng, int(rng.integers(1, 4)))):
        del lines[k : k + 2]
    return b"\n".join(lines)


def _drop_line(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    del lines[_tags(lines, rng)[0] + int(rng.integers(2))]
    return b"\n".join(lines)


def _swap(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    a, b = _tags(lines, rng, 2)
    lines[a : a + 2], lines[b : b + 2] = lines[b : b + 2], lines[a : a + 2]
    return b"\n".join(lines)


def _repeat(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    a, b = _tags(lines, rng, 2)
    return b"\n".join([*lines[:b], *lines[a : min(a + 40, b)], *lines[b:]])


def _number(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    for k in _tags(lines, rng, int(rng.integers(1, 3)), GEOMETRY):
        lines[k + 1] = NUMBERS[int(rng.integers(len(NUMBERS)))].encode()
    return b"\n".join(lines)


def _flag(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    for k in _tags(lines, rng, 1, {5, 8, 62, 66, 70, 71, 72, 73, 90, 100, 330}):
        lines[k + 1] = [b"-1", b"65535", b"x", b"", b"1", b"128"][int(rng.integers(6))]
    return b"\n".join(lines)


def _code(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    lines[_tags(lines, rng)[0]] = [b"0", b"10", b"999", b"-5", b"1071", b"abc", b"40", b"102"][int(rng.integers(8))]
    return b"\n".join(lines)


def _name(data: bytes, rng: np.random.Generator) -> bytes:
    lines = _lines(data)
    words = [b"LINE", b"INSERT", b"SPLINE", b"ENDSEC", b"EOF", b"POLYLINE", b"SEQEND", b"XYZ", b"\xff\xfe"]
    lines[_tags(lines, rng, 1, {0})[0] + 1] = words[int(rng.integers(len(words)))]
    return b"\n".join(lines)


def _cut_off(data: bytes, rng: np.random.Generator) -> bytes:
    return data[: int(rng.integers(len(data)))]


def _cut_out(data: bytes, rng: np.random.Generator) -> bytes:
    a = int(rng.integers(len(data)))
    return data[:a] + data[a + int(rng.integers(1, 400)) :]


def _flip(data: bytes, rng: np.random.Generator) -> bytes:
    raw = bytearray(data)
    for k in rng.integers(len(raw), size=int(rng.integers(1, 6))):
        raw[int(k)] = int(rng.integers(256))
    return bytes(raw)


def _ends(data: bytes, rng: np.random.Generator) -> bytes:
    return data.replace(b"\r\n", b"\n").replace(b"\n", [b"\r", b"\n\n", b" \r\n", b"\t\n"][int(rng.integers(4))])


Damage = Callable[[bytes, np.random.Generator], bytes]
DAMAGES: dict[str, Damage] = {
    "tags dropped": _drop, "line dropped": _drop_line, "tags swapped": _swap, "tags repeated": _repeat,
    "number": _number, "flag": _flag, "group code": _code, "name": _name, "cut off": _cut_off, "cut out": _cut_out,
    "bytes": _flip, "line ends": _ends,
}  # fmt: skip


def tried(seed: int) -> Result:
    """Return what became of the damaged drawing of a seed: refused, told in findings, or proven."""
    kind, data = mutant(seed)
    job = Job(
        drawings=(DrawingUse(name="m.dxf", mm_per_unit=1.0),), machine="m", chart="air-50a", material="mild steel",
        thickness=1.0, small_holes=SmallHoles.DRILL,
    )  # fmt: skip
    began = time.process_time()
    end, fault = "refused", ""
    try:
        outcome = api.plan(job, {"m.dxf": data}, api.Shop(built_in(), chart()))
        end = "proven" if outcome.ok else "told"
        fault = _wrong(outcome)
    except KerfproofError as error:
        fault = "" if str(error).strip() and "Traceback" not in str(error) else "an empty refusal"
    except Exception as error:
        fault = f"{type(error).__name__}: {error}"
    seconds = time.process_time() - began
    if not fault and seconds > SLOWEST_S:
        fault = f"took {seconds:.1f} s"
    return Result(seed, kind, end, seconds, fault)


def _wrong(outcome: object) -> str:
    """Return what is wrong with an outcome: lost entities, numbers beyond the machine, a program without a proof."""
    for drawing in outcome.drawings:
        if drawing.entity_count != len(drawing.entities) + len(drawing.skipped):
            return "entities got lost"
    if not outcome.ok:
        return ""
    boxes = np.array([f.contour.path.bounds() for f in outcome.parts.features])
    if not np.isfinite(boxes).all() or np.abs(boxes).max() > 1300:
        return "a program beyond the machine"
    if outcome.proof is None or not outcome.proof.ok:
        return "a program without a proof"
    low = outcome.program.text.lower()
    return "a number that is none in the program" if "nan" in low.replace("nano", "") else ""
