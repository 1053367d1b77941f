"""Run Kerfproof from the source tree: ``python3 scripts/run.py ARGS...`` is ``kerfproof ARGS...``.

Makes the environment it needs on first use. The exit code is that of ``kerfproof``.
"""

from __future__ import annotations

import sys

from environment import SetupError, call, ensure, say


def extra_for(words: list[str]) -> str:
    """Return the extra that a command needs: the window brings Qt, everything else does without."""
    return "window" if words[:1] == ["window"] else ""


def main() -> int:
    """Run the program and return its exit code, 2 if it can't be set up."""
    try:
        python = ensure(extra_for(sys.argv[1:]))
    except SetupError as error:
        say(str(error))
        return 2
    # -P keeps files of the folder one works in from being taken for modules.
    return call([str(python), "-P", "-m", "kerfproof_app", *sys.argv[1:]])


if __name__ == "__main__":
    sys.exit(main())
