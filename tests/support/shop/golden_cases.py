"""The cases of the golden programs: demo drawing, dialect, unit."""

from __future__ import annotations

from dataclasses import replace

from support.shop.shop import built_in, cut, demo

CASES = tuple(
    f"{name}-{dialect}-{unit}"
    for name in ("gusset", "pump-flange")
    for dialect in ("ngc", "ngc_blend", "skip")
    for unit in ("in", "mm")
)


def program_of(case: str) -> str:
    """Return the program text of a case."""
    name, dialect, unit = case.rsplit("-", 2)
    machine = replace(
        built_in("contact-skip-mm" if dialect == "skip" else "contact-float-mm"), dialect=dialect, inches=unit == "in"
    )
    if dialect == "ngc":  # its path words hold no tolerance
        machine = replace(machine, path_tolerance=None)
    program = cut(demo(name), machine, name=f"{name}.dxf").program
    assert program is not None
    return program.text
