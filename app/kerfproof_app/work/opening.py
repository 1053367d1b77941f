"""Files that a person opens: what they are, and what they make of the job. The reading runs off the window's thread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path

from kerfproof.errors import KerfproofError, Watch
from kerfproof.job.job import SUFFIX, DrawingUse, Job
from kerfproof.memo import Memo
from kerfproof.units import parse_length
from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.load_shop import DEFAULT_CHART, DEFAULT_MACHINE
from kerfproof_app.work.documents import Document, JobDocument, ProgramDocument

DEFAULT_MATERIAL, DEFAULT_THICKNESS = "mild steel", 3.0


def kind_of(path: Path) -> str:
    """Return what a file is by its name: ``drawing``, ``job``, ``machine`` or ``program``."""
    name = path.name.lower()
    if name.endswith(".dxf"):
        return "drawing"
    if name.endswith(SUFFIX):
        return "job"
    return "machine" if name.endswith(".toml") else "program"


def new_job(drawings: tuple[DrawingUse, ...] = ()) -> Job:
    """Return a job on drawings with the person's own defaults."""
    own = defaults.settings()
    thickness = DEFAULT_THICKNESS if own.thickness is None else parse_length(own.thickness)
    return Job(
        drawings=drawings,
        machine=own.machine or DEFAULT_MACHINE,
        chart=own.chart or DEFAULT_CHART,
        material=own.material or DEFAULT_MATERIAL,
        thickness=thickness,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """Files to be opened, alone or added to the work `onto`. `units` are mm per unit by drawing name.

    Added to a program that was opened by itself, drawings are what it is compared with, in place of those before.
    What is read stays in the `memo`, so that the plan that follows need not read it again.
    """

    paths: tuple[Path, ...]
    onto: Document | None = None
    units: Mapping[str, float] = field(default_factory=dict)
    memo: Memo = field(default_factory=Memo)

    def run(self, watch: Watch) -> Document:
        """Return the work with the files in it.

        Raises
        ------
        UnitUnknown
            If a drawing does not say its unit and `units` neither; `where` is its name.
        KerfproofError
            If a file can't be read.
        """
        kinds = {kind_of(path) for path in self.paths}
        if self.onto is not None and kinds != {"drawing"}:
            raise KerfproofError(
                "only drawings can be added to what is open", advice="open a job or a program by itself"
            )
        if len(self.paths) > 1 and kinds != {"drawing"}:
            raise KerfproofError("only drawings can be opened together", advice="open a job or a program by itself")
        if kinds == {"drawing"}:
            return self._drawings(watch)
        opened = self._job(self.paths[0]) if kinds == {"job"} else self._program(self.paths[0])
        watch("reading", 1.0)
        return opened

    def with_unit(self, name: str, mm_per_unit: float) -> Opening:
        """Return the same with the answer to the question of a drawing's unit."""
        return replace(self, units={**self.units, name: mm_per_unit})

    def _drawings(self, watch: Watch) -> Document:
        if isinstance(self.onto, ProgramDocument):
            return self._compared(self.onto, watch)
        job = new_job() if self.onto is None else self.onto.job
        sources = {} if self.onto is None else dict(self.onto.sources)
        uses = list(job.drawings)
        for number, path in enumerate(self.paths):
            watch("reading", number / len(self.paths))
            data = store.read_bytes(path)
            name = free_name(path, data, sources)
            use = self._use(name, data, self.units.get(name), watch)
            same = next((k for k, u in enumerate(uses) if u.name == name), None)
            if same is not None:
                uses[same] = replace(uses[same], count=uses[same].count + 1)
                continue
            uses.append(use)
            sources[name] = data
        made = replace(job, drawings=tuple(uses))
        if self.onto is not None:
            return replace(self.onto, job=made, sources=sources)
        return JobDocument(job=made, sources=sources, folder=self.paths[0].resolve().parent)

    def _compared(self, onto: ProgramDocument, watch: Watch) -> ProgramDocument:
        from kerfproof.programs.drawing_lookup import DrawingAtHand

        found: dict[str, DrawingAtHand] = {}
        for number, path in enumerate(self.paths):
            watch("reading", number / len(self.paths))
            data = store.read_bytes(path)
            name = free_name(path, data, {name: drawing.data for name, drawing in found.items()})
            use = self._use(name, data, self.units.get(name), watch)
            found[name] = DrawingAtHand(name=name, data=data, mm_per_unit=use.mm_per_unit)
        return replace(onto, drawings=tuple(found.values()))

    def _use(self, name: str, data: bytes, unit: float | None, watch: Watch) -> DrawingUse:
        from kerfproof.job.reading import ReadSettings, read_once, unit_question

        drawing = read_once(self.memo, data, name, ReadSettings(mm_per_unit=unit), watch)
        if drawing.units.mm_per_unit is None:
            raise unit_question(drawing)
        return DrawingUse(name=name, mm_per_unit=unit, sha256=sha256(data).hexdigest())

    def _job(self, path: Path) -> JobDocument:
        from kerfproof.job.job_file import parse_job

        text = store.read_text(path)
        job = parse_job(text, str(path))
        sources: dict[str, bytes] = {}
        wrong: list[str] = []
        for use in job.drawings:
            try:
                sources[use.name] = store.read_bytes(path.parent / use.name)
            except KerfproofError as error:
                wrong.append(f"its drawing {use.name} {_why(error)}")
        if wrong:
            advice = f"put {'it' if len(wrong) == 1 else 'them'} beside the job file"
            raise KerfproofError("; ".join(dict.fromkeys(wrong)), where=str(path), advice=advice)
        return JobDocument(job=job, sources=sources, folder=path.resolve().parent, path=path, text=text)

    def _program(self, path: Path) -> ProgramDocument:
        from kerfproof.programs.read_header import read_claims
        from kerfproof_app.work.program_files import known_machine, read_program

        text = read_program(path)
        usual = new_job()
        return ProgramDocument(
            text=text,
            name=path.name,
            folder=path.resolve().parent,
            machine=known_machine(read_claims(text)) or usual.machine,
            chart=usual.chart,
            material=usual.material,
            thickness=usual.thickness,
        )


def _why(error: KerfproofError) -> str:
    return "is missing" if isinstance(error, store.NoSuchFile) else error.what


def free_name(path: Path, data: bytes, taken: Mapping[str, bytes]) -> str:
    """Return what the job calls a drawing: its file name, with a number where another drawing has that name."""
    name, number = path.name, 1
    while name in taken and taken[name] != data:
        number += 1
        name = f"{path.stem} ({number}){path.suffix}"
    return name
