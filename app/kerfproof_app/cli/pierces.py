"""``kerfproof pierces``: where a program pierces, and what is left to the drill."""

from __future__ import annotations

from typing import Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk


@o.takes(o.PROGRAM, o.MACHINE, o.JSON)
def pierces(options: o.Options) -> int:
    """List where a program pierces and which holes are left to the drill, to be ground bright or punched.

    `kerfproof cut ... --tour` writes a raised program that stops over each of them.
    """
    from kerfproof.report.data.wear import pierces as pierces_of
    from kerfproof_app.cli.common.proof_from_options import prove_file

    read = prove_file(options, talk.watcher())
    found, drill = pierces_of(read.proof, read.text), read.drill
    if options["as_json"]:
        talk.result_json(
            {
                "format": 1,
                "pierces": [{"number": p.number, "x": p.x, "y": p.y, "line": p.line, "label": p.label} for p in found],
                "drill": [{"label": label, "x": x, "y": y} for label, x, y in drill],
            }
        )
        return 0
    unit = "in" if read.inches else "mm"
    rows: list[tuple[str, ...]] = [("pierce", f"X {unit}", f"Y {unit}", "line", "what")]
    rows += [(str(p.number), *_place(p.x, p.y, read), str(p.line), p.label) for p in found]
    talk.table(rows)
    if drill:
        talk.result()
        rows = [("drill", f"X {unit}", f"Y {unit}", "what")]
        rows += [(str(n), *_place(x, y, read), label) for n, (label, x, y) in enumerate(drill, 1)]
        talk.table(rows)
    return 0


def _place(x: float, y: float, read: Any) -> tuple[str, str]:
    scale, decimals = (25.4, 4) if read.inches else (1.0, 3)
    return f"{x / scale:.{decimals}f}", f"{y / scale:.{decimals}f}"


COMMAND = pierces
