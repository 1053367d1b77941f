"""From the words of the command line to a job."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from kerfproof.api import ReadSettings, Shop
from kerfproof.errors import KerfproofError
from kerfproof.job.job import DrawingUse, Job, LeadChoice, Mode, Order, Origin, Rests, RoleRule, SmallHoles
from kerfproof.job.job_file import parse_job, write_job
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.shop.material import parse_thickness
from kerfproof.units import (
    LENGTH,
    format_length,
    parse_angle,
    parse_box,
    parse_current,
    parse_feed,
    parse_length,
    parse_size,
    unit_of,
)
from kerfproof_app.cli.common.shop_from_options import changed, find_shop, split_changes
from kerfproof_app.shop import defaults, store

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4}
DEFAULT_THICKNESS = 3.0
MACHINE_KEY = "machine."
ROLES = ("cut", "slit", "mark", "ignore")
PICKS = {"layer": "layer", "color": "color", "colour": "color", "linetype": "linetype", "kind": "kind"}
MOST_TABS = 100
LEAST_FEED = 1.0
"""mm/min; a slower one comes to nothing in a program of inches."""
Choice = TypeVar("Choice", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A job with all it needs. `assumed` says what nobody chose, empty if all was."""

    job: Job
    sources: Mapping[str, bytes]
    shop: Shop
    reading: ReadSettings
    assumed: str


def work_of(options: Mapping[str, Any]) -> Work:
    """Return the work that the options of ``cut`` describe.

    Raises
    ------
    KerfproofError
        If an option can't be understood, or a file can't be read.
    """
    changes = split_changes(options.get("sets") or [])
    on_machine = [(k.removeprefix(MACHINE_KEY), v) for k, v in changes if k.startswith(MACHINE_KEY)]
    shop = find_shop(options.get("machine"), options.get("chart"), on_machine)
    shop = replace(shop, tip_used=given(options, "tip_used", lambda text: _tip_used(text, shop.machine.name)) or 0.0)
    material, thickness, assumed = plate_of(options)
    uses, sources = _drawings(options["drawings"])
    of_drawings = {**said(options, "units", "turn"), "mirror": bool(options.get("mirror"))}
    job = Job(
        drawings=tuple(replace(use, **of_drawings) for use in uses),
        machine=shop.machine.name,
        chart=shop.chart.name,
        material=material,
        thickness=thickness,
        mode=_mode(options),
        tabs=_tabs(options.get("tabs")),
        layers=layers_of(options),
        sharp_corners=bool(options.get("sharp_corners")),
        leave_out=bool(options.get("leave_out")),
        **said(options, *OF_CUTS, "tab_width", "window"),
        **drawing_choices(options),
    )
    on_job = [(k.removeprefix("job."), v) for k, v in changes if not k.startswith(MACHINE_KEY)]
    if on_job:
        job = parse_job(changed(write_job(job, None), on_job, "--set"), "--set")
    return Work(job=job, sources=sources, shop=shop, reading=reading_of(options), assumed=assumed)


def _tip_used(text: str, machine: str) -> float:
    """Return the share of the tip's life that is gone: as written, or as counted (nothing counted: a new tip)."""
    if text.strip().lower() == "counted":
        from kerfproof_app.shop.tip_usage import share_used

        return share_used(machine) or 0.0
    number = re.fullmatch(r"(\d+(?:\.\d+)?) ?%", text.strip())
    if number is None or float(number[1]) > 100.0:
        advice = 'write for example "40 %", or counted'
        raise KerfproofError(f"{text!r} is no share of a tip's life", where="--tip-used", advice=advice)
    return float(number[1]) / 100.0


def _tabs(count: int | None) -> int:
    if count is not None and not 0 <= count <= MOST_TABS:
        raise KerfproofError(f"{count} is no number of tabs", where="--tabs", advice=f"0 to {MOST_TABS}")
    return count or 0


def plate_of(options: Mapping[str, Any]) -> tuple[str, float, str]:
    """Return material, thickness and what of the two was assumed, as one line."""
    own = defaults.settings()
    material = options.get("material") or own.material
    written = options.get("thickness") or own.thickness
    named = material or defaults.DEFAULT_MATERIAL
    thickness = option("thickness", lambda t: parse_thickness(t, named), written) if written else DEFAULT_THICKNESS
    parts = [] if material else [defaults.DEFAULT_MATERIAL]
    parts += [] if written else [format_length(thickness)]
    say = [] if material else ["--material"]
    say += [] if written else ["--thickness"]
    assumed = f"{' '.join(parts)} (say otherwise with {' and '.join(say)})" if parts else ""
    return named, thickness, assumed


def reading_of(options: Mapping[str, Any]) -> ReadSettings:
    """Return how drawings are to be read: unit, layers, box."""
    return ReadSettings(layers=layers_of(options), **said(options, "units", "window"))


def layers_of(options: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the layers that are read, none if all are."""
    return tuple(name.strip() for name in (options.get("layers") or "").split(",") if name.strip())


def roles_of(texts: Sequence[str] | None) -> tuple[RoleRule, ...]:
    """Return the rules of ``--role PICK=ROLE``, in order; a pick is a layer or, for one, ``color:red``."""
    rules = []
    for text in texts or ():
        pick, mark, role = (part.strip() for part in text.rpartition("="))
        what, colon, name = (part.strip() for part in pick.partition(":"))
        kind = PICKS.get(what.lower()) if colon else "layer"
        if not mark or not pick or role.lower() not in ROLES or kind is None or (colon and not name):
            advice = f"LAYER={'|'.join(ROLES)}, color:red=ROLE, linetype:DASHED=ROLE or kind:TEXT=ROLE"
            raise KerfproofError(f"{text!r} is no role", where="--role", advice=advice)
        rules.append(RoleRule(**{kind: name if colon else pick}, role=role.lower()))
    return tuple(rules)


def drawing_choices(options: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the options say about drawings beyond reading, by the names of the job."""
    choices = said(options, "join", "drill_marks", "drill_below", "page")
    if "drill_below" in choices:  # who says which holes but not how means a pierce
        choices.setdefault("drill_marks", DrillKind.PIERCE)
    return {"roles": roles_of(options.get("roles")), "bridges": bool(options.get("bridges")), **choices}


def unit_scale(text: str) -> float:
    """Return mm per drawing unit for ``mm``, ``cm`` or ``in``."""
    try:
        return MM_PER_UNIT[text.strip().lower()]
    except KeyError:
        raise KerfproofError(f"{text!r} is no unit of drawings", where="--units", advice="mm, cm or in") from None


def place_of(text: str) -> tuple[float, float]:
    """Return a place in mm from ``X,Y`` with a unit; one behind the last number holds for both."""
    parts = text.split(",")
    if len(parts) != 2:
        raise KerfproofError(f"{text!r} is no place", where="--at", advice='write for example "12.5,12.5 mm"')
    unit = unit_of(parts[1], LENGTH) or None
    x, y = (option("at", lambda part: parse_length(part, unit), part) for part in parts)
    return x, y


def choice(option: str, text: str, kind: type[Choice]) -> Choice:
    """Return the member of `kind` that is written `text`; blanks and dashes are the same."""
    wanted = text.strip().lower().replace("-", " ")
    for member in kind:
        if member.value == wanted:
            return member
    names = ", ".join(member.value.replace(" ", "-") for member in kind)
    raise KerfproofError(f"{text!r} is not known", where=f"--{option}", advice=f"one of {names}")


def length_of(name: str, text: str) -> float:
    """Return the length above zero that the option `name` holds, mm."""
    value: float = option(name, _positive, text)
    return value


def given(options: Mapping[str, Any], name: str, parse: Any) -> Any:
    """Return the parsed value of an option, None if it was not given; failures name the option."""
    text = options.get(name)
    return None if text is None else option(name, parse, text)


def option(name: str, parse: Any, text: str) -> Any:
    """Return what the text of an option means; failures name the option."""
    try:
        return parse(text)
    except KerfproofError as error:
        where = error.where or f"--{name.replace('_', '-')}"
        raise KerfproofError(error.problem, where=where, advice=error.remedy) from None


def _positive(text: str) -> float:
    return _above_zero(parse_length(text), text)


def _above_zero(value: float, text: str) -> float:
    if value <= 0:
        raise KerfproofError(f"{text!r} must be more than 0")
    return value


def current_of(text: str) -> float:
    """Return the current above zero that ``--amps`` holds, A."""
    value: float = option("amps", lambda written: _above_zero(parse_current(written, "A"), written), text)
    return value


def feed_of(text: str) -> float:
    """Return the feed that ``--feed`` holds, mm/min."""
    value: float = option("feed", lambda written: _above_zero(parse_feed(written), written), text)
    if value < LEAST_FEED:
        raise KerfproofError(f"{text!r} is too slow", where="--feed", advice=f"at least {LEAST_FEED:g} mm/min")
    return value


def _drawings(paths: Sequence[str]) -> tuple[tuple[DrawingUse, ...], dict[str, bytes]]:
    """Return the drawings with their counts, and their bytes by the name the job uses (the file's, made unique)."""
    counts: dict[Path, int] = {}
    for given in map(Path, paths):
        counts[given] = counts.get(given, 0) + 1
    uses, sources = [], dict[str, bytes]()
    for path, count in counts.items():
        name = path.name
        while name in sources:
            name = f"{path.parent.name}/{name}" if "/" not in name else f"again {name}"
        sources[name] = store.read_bytes(path)
        uses.append(DrawingUse(name=name, count=count))
    return tuple(uses), sources


def _mode(options: Mapping[str, Any]) -> Mode:
    wanted = [mode for mode in (Mode.DRY, Mode.FRAME, Mode.TOUR) if options.get(mode.value)]
    if len(wanted) > 1:
        both = " and ".join(f"--{mode.value}" for mode in wanted[:2])
        raise KerfproofError(f"{both} exclude each other", advice="give one of them")
    return wanted[0] if wanted else Mode.CUT


def _lead(text: str) -> LeadChoice:
    size = _positive(text)
    return LeadChoice(radius=size, straight=size)


def _word(name: str, kind: type[StrEnum]) -> Callable[[str], StrEnum]:
    return lambda text: choice(name, text, kind)


_PARSED: Mapping[str, tuple[str, Callable[[str], Any]]] = {
    "amps": ("amps", current_of),
    "kerf": ("kerf", _positive),
    "feed": ("feed_mm_min", feed_of),
    "plate": ("plate", parse_size),
    "origin": ("origin", _word("origin", Origin)),
    "order": ("order", _word("order", Order)),
    "rests": ("rests", _word("rests", Rests)),
    "small_holes": ("small_holes", _word("small-holes", SmallHoles)),
    "lead_in": ("leads", _lead),
    "tab_width": ("tab_width", _positive),
    "units": ("mm_per_unit", unit_scale),
    "turn": ("turn_deg", lambda text: parse_angle(text, "deg")),
    "window": ("window", parse_box),
    "join": ("join_tolerance", _positive),
    "drill_marks": ("drill_marks", _word("drill-marks", DrillKind)),
    "drill_below": ("drill_below", _positive),
    "page": ("page", _word("page", PageFrames)),
}
"""The key of a job that an option says, and how it is read."""
OF_CUTS = ("amps", "kerf", "feed", "plate", "origin", "order", "rests", "small_holes", "lead_in")


def said(options: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """Return the values of the options that were given, by the names of the job; failures name the option."""
    read = ((_PARSED[name][0], given(options, name, _PARSED[name][1])) for name in names)
    return {key: value for key, value in read if value is not None}
