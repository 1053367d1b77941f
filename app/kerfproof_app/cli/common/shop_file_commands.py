"""The commands on machine files and on cut charts: list, show, copy, check."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from kerfproof_app.cli.common import talk

if TYPE_CHECKING:
    from kerfproof_app.shop.store import ShopFile

Name = Annotated[str, typer.Argument(metavar="NAME|FILE")]


def commands(kind: str, word: str, help: str) -> typer.Typer:
    """Return the sub-commands for ``machines`` or ``charts``; `word` is the singular for messages."""
    app = typer.Typer(help=help, no_args_is_help=False, rich_markup_mode=None)
    app.callback(invoke_without_command=True)(_nothing_asked)

    @app.command("list", help=f"List the {kind} there are, built-in and your own.")
    def list_all() -> None:
        from kerfproof_app.shop import store

        talk.table([(file.name, file.origin, title_of(kind, file)) for file in store.shop_files(kind)])

    @app.command("show", help=f"Print a {word} file.")
    def show(name: Name) -> None:
        from kerfproof_app.shop import store

        talk.result(store.shop_file(kind, name).text.rstrip("\n"))

    @app.command("copy", help=f"Copy a {word} into your own folder, to change it there.")
    def copy(name: Name, new: Annotated[str, typer.Argument(metavar="NEW-NAME")]) -> None:
        from kerfproof_app.shop import store

        talk.result(str(store.copy_shop_file(kind, name, new)))
        talk.say(f"change it with any text editor, then: kerfproof {kind} check {new}")

    @app.command("check", help=f"Check a {word} file and tell all its mistakes.")
    def check(name: Name) -> None:
        from kerfproof_app.shop import store

        file = store.shop_file(kind, name)
        talk.result(f"{file.where}: good; {summary(kind, file)}")

    return app


def _nothing_asked(context: typer.Context) -> None:
    if context.invoked_subcommand is None:
        talk.say(context.get_help())
        raise typer.Exit(2)


def title_of(kind: str, file: ShopFile) -> str:
    """Return a file's own title, or why it can't be used."""
    from kerfproof.errors import KerfproofError
    from kerfproof_app.cli.common import shop_from_options

    try:
        return (
            shop_from_options.machine_of(file).title if kind == "machines" else shop_from_options.chart_of(file).title
        )
    except KerfproofError as error:
        return f"can't be used: {error.what.splitlines()[0]}"


def summary(kind: str, file: ShopFile) -> str:
    """Return what a good file describes, in a few words.

    Raises
    ------
    KerfproofError
        If the file has mistakes; the message tells all of them.
    """
    from kerfproof.units import format_size
    from kerfproof_app.cli.common import shop_from_options

    if kind == "machines":
        machine = shop_from_options.machine_of(file)
        size = format_size(machine.travel_x, machine.travel_y, machine.inches)
        return f"{machine.start} start, touch-off {machine.touch_off}, {size}, dialect {machine.dialect}"
    chart = shop_from_options.chart_of(file)
    materials = sorted({row.material for row in chart.rows})
    return f"{len(chart.rows)} rows for {', '.join(materials)}"
