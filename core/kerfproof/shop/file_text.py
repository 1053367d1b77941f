"""How a shop file is written: each key with the sentence that explains it; and its JSON Schema for editors."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import tomlkit
from pydantic.fields import FieldInfo

from kerfproof.shop.file_format import ABOUT, FORMAT, KEY, LINE
from kerfproof.shop.file_model import FileModel, key_of, nested
from kerfproof.shop.spelling import LengthOr, spelling_of

_WIDTH = 100


def commented_toml(model: type[FileModel], value: object, inches: bool = False) -> str:
    """Return the file of a flat dataclass `value`: each key under a comment that explains it.

    Sections are written in the order of the model; keys without a value stand as comments.
    """
    values = {field.name: getattr(value, field.name) for field in fields(value)}  # type: ignore[arg-type]
    blocks = ["\n".join([*_comment(ABOUT), LINE, *_keys(model, values, inches)])]
    for name, info in model.model_fields.items():
        section = nested(info)
        if section:
            comment = "\n".join(_comment(info.description or ""))
            blocks.append("\n".join([comment, f"[{key_of(name, info)}]", *_keys(section, values, inches)]))
        elif _is_table(info):
            blocks.append("\n".join(_table(key_of(name, info), info, values[name])))
    return "\n\n".join(blocks) + "\n"


def _keys(model: type[FileModel], values: dict[str, Any], inches: bool) -> Iterator[str]:
    for name, info in model.model_fields.items():
        if nested(info) or _is_table(info):
            continue
        yield from _comment(info.description or "")
        spelling, value = spelling_of(info), values[name]
        if value is None and not isinstance(spelling, LengthOr):
            yield f"# {key_of(name, info)} = {toml_value(info.examples[0] if info.examples else '')}"
            continue
        yield f"{key_of(name, info)} = {toml_value(spelling.write(value, None, inches) if spelling else value)}"


def _is_table(info: FieldInfo) -> bool:
    """Return whether a key's value is spelled as a table of its own."""
    return bool(getattr(spelling_of(info), "is_table", False))


def _table(name: str, info: FieldInfo, value: Any) -> Iterator[str]:
    """Yield the lines of a table of texts; an empty one stands as a comment."""
    yield from _comment(info.description or "")
    spelling = spelling_of(info)
    lines = [f"{key} = {toml_value(text)}" for key, text in (spelling.write(value) if spelling else {}).items()]
    yield from [f"[{name}]", *lines] if lines else [f"# [{name}]"]


def toml_value(value: Any) -> str:
    """Return a text, number, switch or list of texts as TOML."""
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(toml_value, value))}]"
    if isinstance(value, str) and "\n" in value and '"""' not in value and "\\" not in value:
        return f'"""\n{value}"""'
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(tomlkit.item(value).as_string())


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(text, _WIDTH)]


def schema_of(model: type[FileModel], title: str) -> dict[str, Any]:
    """Return the JSON Schema of a file, with defaults spelled as the file spells them."""
    schema = model.model_json_schema(by_alias=True)
    schema["title"] = title
    _spell_defaults(model, schema, schema.get("$defs", {}))
    number = {"type": "integer", "minimum": 1, "maximum": FORMAT, "default": FORMAT, "description": ABOUT}
    schema["properties"] = {KEY: number, **schema["properties"]}
    return schema


def _spell_defaults(model: type[FileModel], schema: dict[str, Any], definitions: dict[str, Any]) -> None:
    for name, info in model.model_fields.items():
        entry = schema["properties"][key_of(name, info)]
        entry.pop("title", None)
        if "anyOf" in entry:  # a key is there or not, TOML has no null
            entry |= next(choice for choice in entry.pop("anyOf") if choice.get("type") != "null")
        inner, spelling = nested(info), spelling_of(info)
        if inner:
            entry.pop("default", None)
            _spell_defaults(inner, definitions[inner.__name__], definitions)
        elif entry.get("default") is None:
            entry.pop("default", None)
        elif spelling:
            entry["default"] = spelling.write(info.default)
