"""From a folder tree and what is said about it to tasks: which drawing is cut how, and which can't be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase
from pathlib import Path, PurePosixPath

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof_app.batch import folder as tree_of
from kerfproof_app.batch.folder import Source, Tree, shown
from kerfproof_app.batch.folder_settings import (
    FolderSettings,
    job_of,
    name_pattern,
    nearest,
    parse_settings,
    reading_of,
)
from kerfproof_app.batch.one_drawing import Task, failed
from kerfproof_app.batch.result import Result, State
from kerfproof_app.shop import store


@dataclass(frozen=True, slots=True)
class Resolved:
    """The shop for some settings. `assumed` says what nobody chose."""

    shop: api.Shop
    material: str
    thickness: float
    assumed: str


Resolve = Callable[[FolderSettings], Resolved]
"""Finds machine, chart, material and thickness for settings; raises KerfproofError if there are none such."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOrder:
    """What the person wants. `said` holds for all drawings, whatever the folders say."""

    folder: Path
    out: Path
    said: FolderSettings = field(default_factory=FolderSettings)
    again: bool = False
    processes: int = 1
    limit_s: float = 600.0


def tasks_of(
    order: BatchOrder, tree: Tree, resolve: Resolve, says: Callable[[str], None]
) -> tuple[list[Task], list[Result], tuple[str, ...]]:
    """Return a task for each drawing to be worked on, the results of those that can't be, and what settings skip."""
    said, wrong = _settings(tree, says)
    tasks: list[Task] = []
    results: list[Result] = []
    skipped: list[str] = []
    shops: dict[str, Resolved] = {}
    for source in tree.sources:
        try:
            task = _task(order, source, said, wrong, lambda s: _cached(s, resolve, shops))
        except KerfproofError as error:
            reason = " ".join(str(error).split())
            state = State.UNREADABLE if source.problem else State.REFUSED
            results.append(Result(name=source.name, state=state, code=2, reason=shown(reason)))
            continue
        if task is None:
            skipped.append(source.name)
        else:
            tasks.append(task)
    return _without_clashes(tasks, results), results, tuple(skipped)


def _settings(tree: Tree, says: Callable[[str], None]) -> tuple[dict[str, FolderSettings], dict[str, str]]:
    """Return settings by folder, and by folder what is wrong with its file, which has just been told."""
    said, wrong = {}, {}
    for folder, path in tree.settings.items():
        name = f"{folder}/{tree_of.SETTINGS}" if folder else tree_of.SETTINGS
        try:
            said[folder] = parse_settings(store.read_text(path), shown(name))
        except KerfproofError as error:
            says(str(error))
            wrong[folder] = "; ".join(line.strip() for line in str(error).splitlines())
    return said, wrong


def _cached(settings: FolderSettings, resolve: Resolve, shops: dict[str, Resolved]) -> Resolved:
    key = repr((settings.machine, settings.chart, settings.material, settings.thickness))
    if key not in shops:
        shops[key] = resolve(settings)
    return shops[key]


def _task(
    order: BatchOrder, source: Source, said: dict[str, FolderSettings], wrong: dict[str, str], resolve: Resolve
) -> Task | None:
    """Return what to do with a drawing, None if the settings say to leave it.

    Raises
    ------
    KerfproofError
        If it can't be worked on.
    """
    for folder in source.folders:
        if folder in wrong:
            raise KerfproofError(wrong[folder])
    settings = order.said.over(nearest(source.folders, said))
    if any(fnmatchcase(PurePosixPath(source.name).name.lower(), p.lower()) for p in settings.skip or ()):
        return None
    if source.problem:
        raise KerfproofError(source.problem)
    settings, notes = _with_name(source, settings, order.said)
    found = resolve(settings)
    file = PurePosixPath(source.name).name
    job = job_of(file, settings, found.shop.machine.name, found.shop.chart.name, found.material, found.thickness)
    return Task(
        name=source.name,
        source=source.path,
        out=order.out,
        program=tree_of.target_of(source.name, found.shop.machine.extension),
        job=job,
        reading=reading_of(settings),
        shop=found.shop,
        assumed=found.assumed,
        notes=notes,
    )


def _with_name(
    source: Source, settings: FolderSettings, strongest: FolderSettings
) -> tuple[FolderSettings, tuple[Finding, ...]]:
    """Return the settings with what the file's name says, which goes before folders but not before the person.

    Raises
    ------
    KerfproofError
        If the name does not follow the pattern and nothing else says what it should have said.
    """
    pattern = name_pattern(settings)
    if pattern is None:
        return settings, ()
    stem = PurePosixPath(source.name).name[: -len(tree_of.SUFFIX)]
    found = pattern.read(stem, settings.materials or {}, settings.material or "mild steel")
    if found is not None:
        named = FolderSettings(material=found.material, thickness=found.thickness, count=found.count)
        return strongest.over(named.over(settings)), ()
    missing = [name for name in pattern.fields if name != "count" and getattr(settings, name) is None]
    if missing:
        raise KerfproofError(
            f"the name does not follow {pattern.text}, so {' and '.join(missing)} is not known",
            advice="rename the drawing, or say it in its folder's kerfproof.toml",
        )
    message = f"the name does not follow {pattern.text}; what the settings say was taken"
    return settings, (Finding("name-pattern", Severity.NOTE, message),)


def _without_clashes(tasks: list[Task], results: list[Result]) -> list[Task]:
    """Return the tasks that write programs of their own; the others get a result that says why not."""
    gone: dict[str, str] = {}
    for group in tree_of.clashes({task.name: task.program for task in tasks}):
        for name in group:
            gone[name] = ", ".join(other for other in group if other != name)
    for task in tasks:
        if task.name in gone:
            what = f"it would write the same program as {gone[task.name]}: {task.program}; neither was cut"
            result = failed(task, shown(f"{what} (rename one of them)"))
            results.append(replace(result, state=State.REFUSED))
    return [task for task in tasks if task.name not in gone]
