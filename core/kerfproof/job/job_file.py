"""The job file (``*.kerfproof.toml``): TOML text to `Job` and back, touching only what changed."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

import tomlkit
from tomlkit.items import AoT

from kerfproof.job.job import ContourRole, DrawingUse, Job, LeadChoice, Pin, RoleRule, TabPlace, Turn
from kerfproof.job.job_sections import JobFile
from kerfproof.shop.file_format import with_format
from kerfproof.shop.file_model import FileModel, key_of, nested, read_model, read_toml, refuse
from kerfproof.shop.file_text import schema_of
from kerfproof.shop.spelling import listed, quoted, spelling_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """The names that a job may use. None: not checked. Names that end in ``.toml`` are files, never checked."""

    machines: Collection[str] | None = None
    charts: Collection[str] | None = None
    leads: Collection[str] | None = None


def parse_job(text: str, where: str, known: Names | None = None) -> Job:
    """Return the job that a TOML text describes; `where` names the file in messages.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key path (drawings and pins from 1).
    """
    reading = read_model(JobFile, read_toml(text, where))
    job = _job_of(reading.model)
    bad = {place[0] for place in reading.bad}
    names = [mistake for at, mistake in _unknown_names(job, known or Names()) if bad.isdisjoint(at)]
    refuse([*reading.mistakes, *names], where)
    return job


def write_job(job: Job, text: str | None = None) -> str:
    """Return the file of `job`.

    With the `text` of the file as it stands, only keys whose value changed are touched: comments, order and the
    units that the person used stay. If nothing changed the very same text comes back.

    Raises
    ------
    KerfproofError
        If `text` is no job file.
    """
    if text is None:
        document = tomlkit.document()
        _fill(document, JobFile, job)
        return with_format(tomlkit.dumps(document))
    old = parse_job(text, "the job file")
    if old == job:
        return text
    document = tomlkit.parse(text)
    _update(document, JobFile, old, job)
    return with_format(tomlkit.dumps(document))


def job_schema() -> dict[str, Any]:
    """Return the JSON Schema of job files."""
    return schema_of(JobFile, "Kerfproof job")


def _job_of(file: JobFile) -> Job:
    tables = {
        "leads": LeadChoice(**file.leads.values()),
        "drawings": tuple(DrawingUse(**table.values()) for table in file.drawings),
        "pins": tuple(Pin(**table.values()) for table in file.pins),
        "roles": tuple(RoleRule(**table.values()) for table in file.roles),
        "contour_roles": tuple(ContourRole(**table.values()) for table in file.contour_roles),
        "sequence": tuple(Turn(**table.values()) for table in file.sequence),
        "tab_places": tuple(TabPlace(**table.values()) for table in file.tab_places),
    }
    return Job(**{**file.values(), **tables})


def _unknown_names(job: Job, known: Names) -> Iterator[tuple[set[str], str]]:
    """Yield the sections concerned and the sentence for each name that means nothing."""
    shapes = [("leads", "leads.shape", job.leads.shape)]
    shapes += [("pin", f"pin {number}.shape", pin.shape) for number, pin in enumerate(job.pins, 1)]
    used = [("machine", "machine", job.machine, known.machines), ("chart", "chart", job.chart, known.charts)]
    for at, path, name, names in [*used, *((at, path, shape, known.leads) for at, path, shape in shapes)]:
        if name is not None and names is not None and name not in names and not name.endswith(".toml"):
            yield {at}, f"{path}: {quoted(name)} is not known, only {listed(sorted(names))}"
    drawings = [use.name for use in job.drawings]
    chosen = (
        ("pin", [pin.drawing for pin in job.pins]),
        ("contour", [contour.drawing for contour in job.contour_roles]),
        ("turn", [turn.drawing for turn in job.sequence]),
        ("tab", [tab.drawing for tab in job.tab_places]),
    )
    for table, used_drawings in chosen:
        for number, drawing in enumerate(used_drawings, 1):
            if drawing not in drawings:
                only = f"is no drawing of this job, only {listed(drawings)}"
                yield {table, "drawing"}, f"{table} {number}.drawing: {quoted(drawing)} {only}"


def _fill(table: Any, model: type[FileModel], value: object) -> None:
    """Write all keys of `value` that are not as without them."""
    for name, info in model.model_fields.items():
        now, inner = getattr(value, name), nested(info)
        if inner is None:
            _set(table, key_of(name, info), info, now)
        elif isinstance(now, tuple):
            _update_list(table, key_of(name, info), inner, (), now)
        elif now != type(now)():
            table[key_of(name, info)] = _table(inner, now)


def _update(table: Any, model: type[FileModel], old: object, new: object) -> None:
    """Write the keys whose values differ."""
    for name, info in model.model_fields.items():
        was, now, inner, at = getattr(old, name), getattr(new, name), nested(info), key_of(name, info)
        if was == now:
            continue
        if inner is None:
            _set(table, at, info, now)
        elif isinstance(now, tuple):
            _update_list(table, at, inner, was, now)
        elif at in table:
            _update(table[at], inner, was, now)
        else:
            table[at] = _table(inner, now)


def _set(table: Any, at: str, info: Any, now: Any) -> None:
    present = at in table
    if now is None or (now == info.default and not present):
        if present:
            del table[at]
        return
    spelling = spelling_of(info)
    table[at] = spelling.write(now, table[at] if present else None) if spelling else now


def _update_list(table: Any, at: str, inner: type[FileModel], was: tuple[object, ...], now: tuple[object, ...]) -> None:
    """Change a list of tables so that entries which stay keep their text."""
    if at not in table and now:
        table[at] = tomlkit.aot()
    changes = SequenceMatcher(None, was, now, autojunk=False).get_opcodes()
    for _tag, i1, i2, j1, j2 in reversed([change for change in changes if change[0] != "equal"]):
        both = min(i2 - i1, j2 - j1)
        for index in range(both):
            _update(table[at][i1 + index], inner, was[i1 + index], now[j1 + index])
        for index in reversed(range(i1 + both, i2)):
            del table[at][index]
        for offset, value in enumerate(now[j1 + both : j2]):
            _insert(table[at], i1 + both + offset, inner, value)
    if not now and at in table:
        del table[at]


def _insert(tables: Any, index: int, model: type[FileModel], value: object) -> None:
    """Put an entry into a list of tables, with a blank line before it."""
    if not isinstance(tables, AoT):
        entry = tomlkit.inline_table()
        _fill(entry, model, value)
        tables.insert(index, entry)
        return
    entry = _table(model, value)
    if index and tables[index - 1].as_string().endswith("\n\n"):  # the blank line is there, hand it on
        entry.trivia.indent = ""
        entry.add(tomlkit.nl())
    tables.insert(index, entry)


def _table(model: type[FileModel], value: object) -> Any:
    table = tomlkit.table()
    table.trivia.indent = "\n"
    _fill(table, model, value)
    return table
