"""From the words of ``batch`` to an order, and from its results to what is printed and reported."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof.units import format_length, format_time, parse_time
from kerfproof_app.batch import run as work
from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.folder_settings import FolderSettings
from kerfproof_app.batch.name_pattern import pattern_of
from kerfproof_app.batch.report_data import csv_bytes, json_bytes, record
from kerfproof_app.batch.report_page import RARE, page_bytes, sums
from kerfproof_app.batch.result import INTERRUPTED, Result, State, counts, exit_code
from kerfproof_app.batch.tasks import BatchOrder, Resolved
from kerfproof_app.batch.watch import watch
from kerfproof_app.cli.common import talk
from kerfproof_app.cli.common.cut_summary import ascii_size
from kerfproof_app.cli.common.job_from_options import (
    OF_CUTS,
    drawing_choices,
    layers_of,
    length_of,
    option,
    plate_of,
    said,
)
from kerfproof_app.cli.common.progress import Progress
from kerfproof_app.cli.common.shop_from_options import find_shop
from kerfproof_app.shop import store

REPORT = "kerfproof-report"
"""Name of the report files in the output folder, before their endings."""
MOST_LEFT = 20


def run(options: Mapping[str, Any]) -> int:
    """Cut the folder, or watch it, and return the exit code."""
    order, progress = order_of(options), Progress()
    code = 0

    def report(batch: work.Batch) -> None:
        nonlocal code
        progress.clear()
        code = _told(order, batch, options)

    try:
        if options["watch"]:
            _watched(order, progress, report)
        else:
            work.run(order, resolved, progress, report)
    except work.Stopped as stopped:
        _say_left(stopped)
        return INTERRUPTED
    return code


def _watched(order: BatchOrder, progress: Progress, report: Callable[[work.Batch], None]) -> None:
    talk.say(f"watching {shown(str(order.folder))}; Ctrl-C ends it")
    try:
        watch(order, resolved, progress, report)
    except KeyboardInterrupt:
        progress.clear()
        talk.say("no longer watching")


def _say_left(stopped: work.Stopped) -> None:
    done, left = stopped.batch.made, stopped.left
    talk.say(f"kerfproof: stopped: {done} done, {len(left)} left; the same words go on where this ended")
    for name in left[:MOST_LEFT]:
        talk.say(f"  left: {shown(name)}")
    if len(left) > MOST_LEFT:
        talk.say(f"  and {len(left) - MOST_LEFT} more")


# --- what the person wants ----------------------------------------------------------------------------


def order_of(options: Mapping[str, Any]) -> BatchOrder:
    """Return the order that the options describe.

    Raises
    ------
    KerfproofError
        If an option can't be understood.
    """
    return BatchOrder(
        folder=Path(options["folder"]),
        out=Path(options["output"]),
        said=_said(options),
        again=bool(options["again"]),
        processes=options["processes"] or cores(),
        limit_s=_limit(options["limit"]),
    )


def cores() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def _limit(text: str) -> float:
    limit = option("limit", parse_time, text)
    if limit <= 0:
        raise KerfproofError(f"{text!r} must be more than 0", where="--limit")
    return float(limit)


def _said(options: Mapping[str, Any]) -> FolderSettings:
    if options["names"] is not None and pattern_of(options["names"]).problems:
        raise KerfproofError("; ".join(pattern_of(options["names"]).problems), where="--names")
    thickness = options["thickness"]
    return FolderSettings(
        machine=options["machine"],
        chart=options["chart"],
        material=options["material"],
        thickness=None if thickness is None else length_of("thickness", thickness),
        layers=layers_of(options) or None,
        count=options["count"],
        sharp_corners=options["sharp_corners"] or None,
        leave_out=options["leave_out"] or None,
        names=options["names"],
        **said(options, *OF_CUTS, "units", "turn"),
        **{key: value for key, value in drawing_choices(options).items() if value},
    )


def resolved(settings: FolderSettings) -> Resolved:
    """Return the shop for some settings: what they name, else the person's own defaults, else the built-in ones."""
    thickness = None if settings.thickness is None else f"{settings.thickness!r} mm"
    material, thick, assumed = plate_of({"material": settings.material, "thickness": thickness})
    return Resolved(find_shop(settings.machine, settings.chart), material, thick, assumed)


# --- what came of it ----------------------------------------------------------------------------------


def _told(order: BatchOrder, batch: work.Batch, options: Mapping[str, Any]) -> int:
    """Write the report, print the table unless the run was stopped, and return the exit code."""
    code = exit_code(batch.results)
    written, problems = write_report(order, batch)
    for problem in problems:
        talk.say(f"kerfproof: {problem}")
        code = 2
    if options["as_json"]:
        talk.result_json({**record(batch.results, batch.behind, batch.skipped), "exit_code": code})
    else:
        if all(result.state is not State.LEFT for result in batch.results):
            _print(batch)
        if written:
            talk.result(f"report    {shown(str(order.out / REPORT))}{', '.join(written)}")
        for text in tip_lines(batch.results):
            talk.say(f"tip: {text}")
    return code


def tip_lines(results: Sequence[Result]) -> list[str]:
    """Return a warning for each machine whose tip will not last for all programs together."""
    from kerfproof_app.shop.tip_usage import outruns_by_share

    takes: dict[str, float] = {}
    for result in results:
        if result.state in (State.WARNED, State.PROVEN) and result.pierces and result.starts_per_tip:
            share = result.pierces / result.starts_per_tip
            takes[result.machine] = takes.get(result.machine, 0.0) + share
    return [text for machine, share in sorted(takes.items()) if (text := outruns_by_share(machine, share))]


def write_report(order: BatchOrder, batch: work.Batch) -> tuple[list[str], list[str]]:
    """Write the three report files; return the endings of those written, and what is in the way of the others.

    Each is whole or as before.
    """
    title = order.folder.resolve().name or str(order.folder)
    written: list[str] = []
    problems: list[str] = []
    for ending, data in (  # the page last: once it is there, all is
        (".json", json_bytes(batch.results, batch.behind, batch.skipped)),
        (".csv", csv_bytes(batch.results)),
        (".html", page_bytes(batch.results, batch.behind, title)),
    ):
        file = order.out / f"{REPORT}{ending}"
        try:
            store.write_bytes(file, data)
            written.insert(0, ending)
        except KerfproofError as error:
            older = "; the one that lies there is of an earlier run" if file.is_file() else ""
            problems.append(shown(f"{error}{older}"))
    return written, problems


def _print(batch: work.Batch) -> None:
    rows: list[tuple[str, ...]] = [("drawing", "result", "size", "pierces", "cut", "time")]
    rows += [_row(result) for result in batch.results]
    talk.table(rows)
    talk.result()
    for result in batch.results:
        if result.worst():
            talk.result(f"{shown(result.name)}: {result.worst()}{_more(result)}")
    for name in batch.behind:
        talk.result(f"{shown(name)}: this program belongs to no drawing as it is now; do not cut from it")
    _assumed(batch.results)
    for state, number in (*counts(batch.results).items(), ("skipped by the settings", len(batch.skipped))):
        if number or state not in RARE:
            talk.result(f"{number:>5}  {state}")
    talk.result(f"{tally(batch)}; {batch.made} done now")
    talk.result(f"programs  {sums(batch.results)}")


def tally(batch: work.Batch) -> str:
    """Return how many drawings there are and what became of each, a sum that adds up."""
    number = counts(batch.results)
    ways = {
        "written": number[State.PROVEN] + number[State.WARNED],
        "refused": number[State.REFUSED] + number[State.UNREADABLE],
        "failed": number[State.FAILED],
        "skipped": len(batch.skipped),
        "left": number[State.LEFT],
    }
    told = [f"{count} {way}" for way, count in ways.items() if count or way != "left"]
    return f"{len(batch.results) + len(batch.skipped):>5}  drawings = {' + '.join(told)}"


def _row(result: Result) -> tuple[str, ...]:
    size = "" if result.width is None or result.height is None else _size(result.width, result.height)
    pierces = "" if result.pierces is None else str(result.pierces)
    cut = "" if result.cut_length is None else f"{result.cut_length / 1000:.2f} m"
    run_s = "" if result.run_s is None else format_time(round(result.run_s))
    return shown(result.name), str(result.state), size, pierces, cut, run_s


def _size(width: float, height: float) -> str:
    return ascii_size(width, height).partition(" (")[0]


def _more(result: Result) -> str:
    told = 0 if result.reason else 1
    more = result.count_of("error") + result.count_of("warning") - told
    return f" (and {more} more)" if more > 0 else ""


def _assumed(results: Sequence[Result]) -> None:
    guessed = [result for result in results if result.assumed]
    if guessed:
        sample = guessed[0]
        what = f"{sample.material} {format_length(sample.thickness or 0.0)}"
        talk.result(f"assumed   {what} for {len(guessed)} of them (say otherwise with --material and --thickness)")
