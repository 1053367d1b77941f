"""The command line: finds the commands in the folder ``cli`` and turns every failure into one sentence."""

from __future__ import annotations

import importlib
import os
import pkgutil
import re
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import Annotated

import typer

import kerfproof_app.cli
from kerfproof.errors import KerfproofError
from kerfproof_app.shop.gc_tuning import collect_seldom

UNREAD = 141
"""Exit code when whatever read our output stopped reading: 128 and the number of SIGPIPE, as shells count."""
_WHOLE = re.compile(r"Invalid value for '([^']+)': .*valid integer.*")
DEBUG_VARIABLE = "KERFPROOF_DEBUG"
"""Environment variable that shows the traceback of an unexpected failure."""


def command_names() -> list[str]:
    """Return the commands: the modules of the folder ``cli`` that do not begin with an underscore."""
    modules = pkgutil.iter_modules(kerfproof_app.cli.__path__)
    return sorted(module.name for module in modules if not module.ispkg)


def build() -> typer.Typer:
    """Return the command line with all commands; what they need is loaded only when one runs."""
    app = typer.Typer(
        help="From a flat drawing to a plasma cut program that is proven before it is run.",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback(invoke_without_command=True)(_start)
    for name in command_names():
        found = importlib.import_module(f"kerfproof_app.cli.{name}").COMMAND
        if isinstance(found, typer.Typer):
            app.add_typer(found, name=name)
        else:
            app.command(name)(found)
    app.command("window")(_window)
    return app


def _window(
    files: Annotated[
        list[str] | None, typer.Argument(metavar="[FILE]...", help="Drawings, a job or a program to open.")
    ] = None,
) -> None:
    """Open the window: see what will be left of the plate, move leads, prove and export."""
    try:
        from kerfproof_app.window.start import run
    except ImportError as error:
        if error.name is None or not error.name.startswith("PySide6"):
            raise
        raise KerfproofError(
            f"the window needs Qt, which can't be loaded here ({error})", advice='pip install "kerfproof[window]"'
        ) from None
    raise typer.Exit(run(files or []))


def _start(
    context: typer.Context, version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False
) -> None:
    if version:
        from importlib.metadata import version as version_of

        print(f"kerfproof {version_of('kerfproof')}")
        raise typer.Exit(0)
    if context.invoked_subcommand is None:
        print(context.get_help(), file=sys.stderr)
        raise typer.Exit(2)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit code: 0 done, 1 done with errors found, 2 could not work with the input."""
    collect_seldom()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal may lack a sign of a file's name
    try:
        code = _run(list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
    except OSError as error:
        _close_output()
        if isinstance(error, BrokenPipeError):  # the reader of a pipe has seen enough
            return UNREAD
        return _fail(f"standard output can't be written: {(error.strerror or str(error)).lower()}", 2)
    return code


def _run(arguments: list[str]) -> int:
    """Run one command; what standard output refuses is left to the caller.

    Raises
    ------
    OSError
        From standard output: those of files are sentences already, or name their file.
    """
    try:
        code = build()(arguments, prog_name="kerfproof", standalone_mode=False)
    except OSError as error:
        if error.filename is None:
            raise
        return _fail(f"{error.filename}: {(error.strerror or str(error)).lower()}", 2)
    except SystemExit:  # this is how the library of the options leaves where the reader of a pipe has gone
        return UNREAD
    except KeyboardInterrupt:
        return _fail("stopped", 130)
    except KerfproofError as error:
        return _fail(str(error), 2)
    except Exception as error:
        return _fail(_sentence(error), 2)
    return code if isinstance(code, int) else 0


def _close_output() -> None:
    """Let what is still to be printed go nowhere, so that the end of Python does not fail on it again."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _fail(sentence: str, code: int) -> int:
    print(f"kerfproof: {sentence}", file=sys.stderr)
    return code


def _sentence(error: Exception) -> str:
    """Return what to say of an exception that no one foresaw, or of wrong words on the command line."""
    if hasattr(error, "format_message"):
        text = _WHOLE.sub(r"\1 must be a whole number", " ".join(error.format_message().split()).rstrip("."))
        context = getattr(error, "ctx", None)
        path = context.command_path if context is not None else "kerfproof"
        return f"{text[:1].lower()}{text[1:]} ({path} --help tells more)"
    if os.environ.get(DEBUG_VARIABLE) == "1":
        import traceback

        traceback.print_exception(error)
    return (
        f"this should not have happened ({type(error).__name__}: {error}); please report it with the files used "
        f"({DEBUG_VARIABLE}=1 shows where)"
    )


if __name__ == "__main__":
    sys.exit(main())
