"""What ``cut`` writes: the program, the report, the picture."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof.outcome import Outcome
from kerfproof_app.cli.common.talk import TERMINAL
from kerfproof_app.shop import store
from kerfproof_app.work.exports import paper_of, picture_of, report_bytes, sheet_bytes

PICTURES = (".svg", ".png")
OTHER = "another output already"


def check_targets(options: Mapping[str, Any]) -> None:
    """Check before the work that everything asked for can be written and overwrites no input.

    Raises
    ------
    KerfproofError
        If not.
    """
    targets = [options.get(name) for name in ("output", "report", "picture", "sheet")]
    paths = [Path(target) for target in targets if target and target != TERMINAL]
    for name in ("report", "picture", "sheet"):
        if options.get(name) == TERMINAL:
            raise KerfproofError(f"--{name} needs a file, - is for the program alone", advice="name a file")
    if options.get("output") == TERMINAL and options.get("as_json"):
        raise KerfproofError("the program and --json can't both go to the terminal", advice="name a file with -o")
    picture = options.get("picture")
    if picture and Path(picture).suffix.lower() not in PICTURES:
        raise KerfproofError("pictures are .svg or .png", where=picture)
    if options.get("sheet"):
        if Path(options["sheet"]).suffix.lower() != ".pdf":
            raise KerfproofError("setup sheets are .pdf", where=options["sheet"])
        paper_of(options.get("paper"))
    inputs = {"programs": "the program that is read", "drawings": "a drawing already"}
    seen = {Path(file).resolve(): words for name, words in inputs.items() for file in options.get(name, ())}
    for path in paths:
        store.check_target(path)
        place = path.resolve()
        if place in seen and place.is_file() | (seen[place] == OTHER):
            raise KerfproofError(f"this is {seen[place]}", where=str(path), advice="name another file")
        seen[place] = OTHER


def write_all(options: Mapping[str, Any], outcome: Outcome, written: bool) -> None:
    """Write what was asked for; the program only if it is to be `written`, and last.

    So a picture or report that can't be written leaves no program behind that nobody was told about.
    """
    others: list[tuple[str, bytes]] = []
    if options.get("report"):
        others.append((options["report"], report_bytes(outcome)))
    if options.get("picture"):
        others.append((options["picture"], picture_of(outcome, options["picture"], bool(options["dark"]))))
    if options.get("sheet") and outcome.program is not None:
        program = Path(options["output"]).name if options["output"] != TERMINAL else ""
        others.append((options["sheet"], sheet_bytes(outcome, options.get("paper"), program)))
    for name, data in others:
        store.write_bytes(Path(name), data)
    if written and outcome.program is not None:
        write_program(options["output"], outcome.program.text)


def write_program(output: str, text: str) -> None:
    """Write a program to a file, or to the terminal."""
    if output == TERMINAL:
        sys.stdout.write(text)
    else:
        store.write_bytes(Path(output), text.encode("ascii"))
