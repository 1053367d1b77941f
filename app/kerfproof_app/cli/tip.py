"""``kerfproof tip``: how much of the tip is used, by the programs that you say were cut."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk

if TYPE_CHECKING:
    from kerfproof_app.shop.tip_usage import Tip, TipLife

COMMAND = typer.Typer(
    help="Count the tip's life: the programs you say were cut, against the starts that a tip lasts.",
    no_args_is_help=False,
    rich_markup_mode=None,
)


@COMMAND.callback(invoke_without_command=True)
def status(
    context: typer.Context,
    as_json: Annotated[bool, typer.Option("--json", help="Findings as JSON on standard output.")] = False,
) -> None:
    """Tell how much of the tip on each machine is used."""
    if context.invoked_subcommand is not None:
        return
    from kerfproof_app.shop.tip_usage import TipLife

    life = TipLife.of_person()
    tips = life.tips()
    _told(life)
    if as_json:
        talk.result_json({"format": 1, "tips": [_record(tip) for tip in tips]})
        return
    if not tips:
        talk.result("nothing is counted yet; after a cut: kerfproof tip cut PROGRAM")
    for tip in tips:
        talk.result(_line(tip))


@COMMAND.command("cut", help="Count a program as cut, once for each time it ran to its end.")
@o.takes(o.argument("program", "PROGRAM", "The program that was cut."), o.CUT_WITH)
def cut(options: o.Options) -> int:
    """Count a program as cut."""
    from kerfproof import api
    from kerfproof.report.data.wear import wear
    from kerfproof_app.cli.common.proof_from_options import prove_file
    from kerfproof_app.shop import store
    from kerfproof_app.shop.tip_usage import TipLife

    program = options["program"]
    read = prove_file(options, talk.watcher())
    took = wear(read.proof, read.machine)
    if took.starts == 0:
        from kerfproof.errors import KerfproofError

        raise KerfproofError("this program never lights the torch", where=program)
    life = TipLife.of_person()
    tip, times = life.count(
        read.machine.name, _now(), Path(program).name, api.digest(store.read_bytes(Path(program))), took.starts,
        took.arc_s, read.process.starts_per_tip,
    )  # fmt: skip
    _told(life)
    again = f", the {times}. time on this tip" if times > 1 else ""
    talk.result(f"counted: {took.starts} starts, {took.arc_s:.0f} s of arc{again}")
    talk.result(_line(tip))
    return 0


@COMMAND.command("new", help="Begin a new tip (and electrode).")
@o.takes(o.MACHINE, o.text("--note", "TEXT", "Anything worth knowing of it.", default=""))
def new(options: o.Options) -> int:
    """Begin a new tip."""
    from kerfproof_app.cli.common.shop_from_options import find_shop
    from kerfproof_app.shop.tip_usage import TipLife

    life = TipLife.of_person()
    name = find_shop(options["machine"], None).machine.name
    old = life.fit_new(name, _now(), options["note"])
    _told(life)
    if old is not None:
        talk.result(f"the old one: {_line(old)}")
    talk.result(f"{name}: a new tip from now on")
    return 0


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _told(life: TipLife) -> None:
    for sentence in life.told:
        talk.say(sentence)


def _line(tip: Tip) -> str:
    used = f"{tip.used:.0%} used" + ("" if tip.counted else " at least: some cuts had no tip life in their chart")
    note = f" ({tip.note})" if tip.note else ""
    return (
        f"{tip.machine}: tip of {tip.fitted[:10]}{note}, {tip.starts} starts, {tip.arc_s / 60:.1f} min of arc, {used}"
    )


def _record(tip: Tip) -> dict[str, Any]:
    return {
        "machine": tip.machine,
        "fitted": tip.fitted,
        "note": tip.note,
        "starts": tip.starts,
        "arc_s": tip.arc_s,
        "used": round(tip.used, 4),
        "programs": tip.programs,
    }
