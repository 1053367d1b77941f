"""The report of a batch as data: CSV for a spreadsheet, JSON for programs. No clock in it: same work, same bytes."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.result import FORMAT, Result, counts, exit_code

COLUMNS = (
    "drawing", "result", "program", "machine", "material", "thickness_mm", "count", "parts", "holes", "width_mm",
    "height_mm", "pierces", "cut_length_mm", "torch_on_s", "run_s", "errors", "warnings", "first_finding",
)  # fmt: skip


def csv_bytes(results: Sequence[Result]) -> bytes:
    """Return one row for each drawing, UTF-8 with the mark that spreadsheets look for."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for r in results:
        numbers = (r.parts, r.holes, r.width, r.height, r.pierces, r.cut_length, r.torch_on_s, r.run_s)
        row = (shown(r.name), str(r.state), shown(r.program), r.machine, r.material, _plain(r.thickness), r.count)
        tail = (r.count_of("error"), r.count_of("warning"), r.worst())
        rows.writerow(_harmless(cell) for cell in (*row, *map(_plain, numbers), *tail))
    return text.getvalue().encode("utf-8-sig")


def _plain(value: float | None) -> str:
    return "" if value is None else f"{round(value, 3):g}" if abs(value) < 1e6 else f"{value:.1f}"


def _harmless(cell: object) -> str:
    """Return text that no spreadsheet takes for a formula."""
    text = str(cell)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def record(results: Sequence[Result], behind: Sequence[str], skipped: Sequence[str] = ()) -> dict[str, Any]:
    """Return the whole report as plain data, without the pictures."""
    return {
        "format": FORMAT,
        "exit_code": exit_code(results),
        "counts": {str(state): number for state, number in counts(results).items()},
        "totals": totals(results),
        "drawings": [_drawing(result) for result in results],
        "skipped": [shown(name) for name in skipped],
        "left_behind": [shown(name) for name in behind],
    }


def totals(results: Sequence[Result]) -> dict[str, float]:
    """Return the sums over all programs that stand."""
    done = [result for result in results if result.program]
    return {
        "programs": len(done),
        "pierces": sum(result.pierces or 0 for result in done),
        "cut_length_mm": round(sum(result.cut_length or 0.0 for result in done), 3),
        "torch_on_s": round(sum(result.torch_on_s or 0.0 for result in done), 3),
        "run_s": round(sum(result.run_s or 0.0 for result in done), 3),
    }


def _drawing(result: Result) -> dict[str, Any]:
    return {
        "drawing": shown(result.name),
        "result": str(result.state),
        "reason": result.reason,
        "program": shown(result.program) or None,
        "machine": result.machine or None,
        "material": result.material or None,
        "thickness_mm": result.thickness,
        "assumed": result.assumed,
        "count": result.count,
        "parts": result.parts,
        "holes": result.holes,
        "size_mm": None if result.width is None else [result.width, result.height],
        "pierces": result.pierces,
        "cut_length_mm": result.cut_length,
        "torch_on_s": result.torch_on_s,
        "run_s": result.run_s,
        "findings": [{key: value for key, value in f.items() if key != "sentence"} for f in result.findings],
        "more_findings": result.more_findings,
    }


def json_bytes(results: Sequence[Result], behind: Sequence[str], skipped: Sequence[str] = ()) -> bytes:
    """Return the whole report as JSON."""
    text = json.dumps(record(results, behind, skipped), indent=2, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8")
