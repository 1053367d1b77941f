"""How a shop file is read: a pydantic model is the file; all its mistakes become sentences with key paths.

A model's attribute has the name of the field of the value, its alias is the key in the file, and a `Spelling`
in its annotation tells how the text belongs to the value. Reading, writing and the JSON Schema use the same.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import MISSING, dataclass, fields
from typing import Any, Generic, NoReturn, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic.fields import FieldInfo

from kerfproof.errors import FileBroken, KerfproofError
from kerfproof.shop.file_format import without_format
from kerfproof.shop.spelling import Quantity, listed, quoted, spelling_of

Place = tuple[str | int, ...]
"""Keys and indices down to a value of a file."""


class FileModel(BaseModel):
    """A table of a file: unknown keys are mistakes, and nothing is silently converted."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    def values(self) -> dict[str, Any]:
        """Return the values of the attributes by name."""
        return {name: getattr(self, name) for name in type(self).model_fields}


class FileMistakes(KerfproofError):
    """A file that holds mistakes. `mistakes` are all of them, each a key path, a colon and a sentence."""

    def __init__(self, mistakes: tuple[str, ...], where: str) -> None:
        self.mistakes = mistakes
        many = f"{len(mistakes)} mistakes" + "".join(f"\n  {mistake}" for mistake in mistakes)
        super().__init__(mistakes[0] if len(mistakes) == 1 else many, where=where)

    def __reduce__(self) -> tuple[Callable[..., KerfproofError], tuple[object, ...]]:
        return FileMistakes, (self.mistakes, self.where)

    def by_place(self) -> dict[str, str]:
        """Return the sentences by key path; several of one place are joined."""
        found: dict[str, str] = {}
        for mistake in self.mistakes:
            place, _, sentence = mistake.partition(": ")
            found[place] = f"{found[place]}; {sentence}" if place in found else sentence
        return found


Model = TypeVar("Model", bound=FileModel)


def key(value_type: Any, attribute: str, text: str, *, example: Any = None, **limits: Any) -> Any:
    """Return the field of a model for one field of a dataclass, with the default of that dataclass.

    `text` explains the key in written files and to editors. `example` shows what to write where no default
    stands. `limits` are pydantic's (``alias``, ``gt``, ``ge``...).
    """
    field = next(f for f in fields(value_type) if f.name == attribute)
    if field.default is not MISSING:
        limits.setdefault("default", field.default)
    return Field(description=text, examples=None if example is None else [example], **limits)


def key_of(name: str, info: FieldInfo) -> str:
    """Return the key in the file for a model's attribute."""
    return info.alias or name


def nested(info: FieldInfo) -> type[FileModel] | None:
    """Return the model of a table or of the tables of a list, None for a single value."""
    for kind in (info.annotation, *get_args(info.annotation)):
        if isinstance(kind, type) and issubclass(kind, FileModel):
            return kind
    return None


def read_toml(text: str, where: str) -> dict[str, Any]:
    """Return the tables of a TOML text, its format taken away.

    Raises
    ------
    KerfproofError
        If `text` is no TOML, with line and column, or was made by a newer Kerfproof.
    """
    if "\0" in text or "\ufffd" in text:
        raise FileBroken("this is no text file", where=where, advice="name a file that ends in .toml")
    try:
        return without_format(tomllib.loads(text), where)
    except tomllib.TOMLDecodeError as error:
        _not_toml(text, where, str(error))


def _not_toml(text: str, where: str, problem: str) -> NoReturn:
    problem = problem.replace("Cannot overwrite a value", "this key stands in its section already")
    problem = re.sub(r"\('([^()]*)',\)", lambda found: "[" + found[1].replace("', '", ".") + "]", problem)
    match = re.fullmatch(r"(.*) \(at (line (\d+), column \d+)\)", problem)
    if match is None:
        what = problem.removesuffix(" (at end of document)")
        raise FileBroken(f"the last line: {what[:1].lower()}{what[1:]}", where=where) from None
    lines = text.split("\n")
    line = lines[int(match[3]) - 1].strip() if int(match[3]) <= len(lines) else ""
    unquoted = re.match(r"[\w.-]+\s*=\s*([-+]?[\d./-]+\s*[a-zA-Z\"%][^#]*)", line)
    advice = f"put quotes round it: '{unquoted[1].strip()}'" if unquoted else f"it reads: {line}" if line else ""
    broken = FileBroken(f"{match[2]}: {match[1][:1].lower()}{match[1][1:]}", where=where, advice=advice)
    broken.line = int(match[3])
    raise broken from None


@dataclass(frozen=True)
class FileReading(Generic[Model]):
    """What came of one file.

    `mistakes` are sentences with key paths. In the places that are `bad`, `model` holds examples or defaults.
    """

    model: Model
    mistakes: tuple[str, ...]
    bad: frozenset[Place]


def read_model(model: type[Model], raw: Mapping[str, Any]) -> FileReading[Model]:
    """Return the model of raw tables, and all their mistakes."""
    data, mistakes, bad = deepcopy(dict(raw)), list[str](), set[Place]()
    for _round in range(8):  # a missing section shows its missing keys only in the next round
        try:
            return FileReading(model.model_validate(data), tuple(mistakes), frozenset(bad))
        except ValidationError as error:
            problems = [problem for problem in error.errors(include_url=False) if not _echo(problem)]
        if not mistakes:
            mistakes = [f"{path(problem['loc'])}: {_sentence(model, raw, problem)}" for problem in problems]
        for problem in problems:
            bad.add(_mend(model, data, problem["loc"]))
    raise AssertionError(f"no stand-in for {sorted(map(path, bad))} of {model.__name__}")


def _echo(problem: Any) -> bool:
    """Whether a list is called empty only because its entries have mistakes of their own."""
    return problem["type"] == "too_short" and bool(problem["input"])


def stem(where: str, otherwise: str) -> str:
    """Return the name of a file without folders and ``.toml``, or `otherwise` if nothing is left."""
    return re.split(r"[/\\]", where)[-1].removesuffix(".toml") or otherwise


def refuse(mistakes: tuple[str, ...] | list[str], where: str) -> None:
    """Raise one error that tells all `mistakes`, one per line; do nothing if there are none."""
    if mistakes:
        raise FileMistakes(tuple(mistakes), where)


def path(place: Place) -> str:
    """Return a place as people read it: ``touch_off.float``, ``row 4.kerf`` (counted from 1)."""
    text = ""
    for part in place:
        text += f" {part + 1}" if isinstance(part, int) else f".{part}" if text else part
    return text or "the file"


def _field_at(model: type[FileModel], place: Place) -> FieldInfo | None:
    info: FieldInfo | None = None
    inner: type[FileModel] | None = model
    for part in place:
        if isinstance(part, int):
            continue
        found = {key_of(n, i): i for n, i in inner.model_fields.items()} if inner else {}
        info = found.get(part)
        inner = nested(info) if info else None
    return info


def _mend(model: type[FileModel], data: dict[str, Any], place: Place) -> Place:
    """Put an example or nothing in a bad place of `data`; return the place of the key that was mended."""
    container: Any = data
    parent, at, depth = data, place[0], 1
    for index, part in enumerate(place):
        if isinstance(container, dict):
            parent, at, depth = container, part, index + 1
            container = container.get(part)
        elif isinstance(container, list) and isinstance(part, int) and part < len(container):
            container = container[part]
        else:
            break
    info = _field_at(model, place[:depth])
    if info is not None and info.is_required():
        tables: object = {} if isinstance(info.annotation, type) else [{}]
        parent[str(at)] = info.examples[0] if info.examples else tables
    else:
        parent.pop(str(at), None)
    return place[:depth]


def _sentence(model: type[FileModel], raw: Any, problem: Any) -> str:
    """Return one sentence for one problem that pydantic found."""
    kind, place, context = problem["type"], problem["loc"], problem.get("ctx", {})
    info = _field_at(model, place)
    if kind == "spelling":
        return str(context["sentence"])
    if kind == "missing":
        return _missing(str(place[-1]), info)
    if kind == "extra_forbidden":
        return _unknown(model, place)
    for limit, words in _LIMITS.items():
        if limit in context:
            return f"{_written(raw, place)} must be {words} {context[limit]:g}{_unit(info) if context[limit] else ''}"
    if kind == "tuple_type" and info is not None and nested(info):
        return f"must be a list of tables, each under [[{place[-1]}]]"
    if kind == "string_pattern_mismatch" and info is not None:
        return (
            f"{_written(raw, place)} has not the right form, for example {quoted((info.examples or [info.default])[0])}"
        )
    message = str(problem["msg"])
    return _PLAIN.get(kind, message[:1].lower() + message[1:])


_LIMITS = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
_PLAIN = {
    "bool_type": "must be true or false, without quotes",
    "string_type": "must be text in quotes",
    "int_type": "must be a whole number, without quotes",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number, without quotes",
    "tuple_type": 'must be a list in brackets, for example ["one", "two"]',
    "model_type": "must be a table with keys of its own",
    "too_short": "must not be empty",
    "string_too_short": "must not be empty",
    "finite_number": "must be a finite number",
}


def _written(raw: Any, place: Place) -> str:
    for part in place:
        raw = raw[part]
    return quoted(raw)


def _missing(name: str, info: FieldInfo | None) -> str:
    if info is not None and info.examples:
        return f"is missing, for example {name} = {quoted(info.examples[0])}"
    if info is not None and nested(info):
        header = f"[{name}]" if isinstance(info.annotation, type) else f"[[{name}]]"
        return f"is missing, the file needs a section {header}"
    return "is missing"


def _unit(info: FieldInfo | None) -> str:
    spelling = spelling_of(info) if info else None
    return f" {spelling.kind.unit}" if isinstance(spelling, Quantity) else ""


def _unknown(model: type[FileModel], place: Place) -> str:
    """Return the sentence for an unknown key, with the section it belongs to or the nearest right key."""
    name = str(place[-1])
    for section, info in model.model_fields.items():
        inner = nested(info)
        if inner and key_of(section, info) not in place and name in _keys(inner):
            return f"is not known here, it belongs to [{key_of(section, info)}]"
    above = _field_at(model, place[:-1])
    home = nested(above) if above else None
    keys = _keys(home or model)
    near = difflib.get_close_matches(name, keys, n=1, cutoff=0.6)
    return f"is not known, did you mean {near[0]}?" if near else f"is not known here, only {listed(keys)}"


def _keys(model: type[FileModel]) -> list[str]:
    return [key_of(name, info) for name, info in model.model_fields.items()]
