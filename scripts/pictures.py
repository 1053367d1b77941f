"""Draw the pictures: ``.venv/bin/python scripts/pictures.py [OUT]``.

Without OUT the pictures of the README anew; with it all pictures, of the window and of the command line, as PNG.
"""

from __future__ import annotations

import argparse
import io
import os
import tempfile
from pathlib import Path

import ezdxf

from kerfproof_app.__main__ import main
from kerfproof_app.shop.store import CONFIG_VARIABLE

RESOURCES = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources"
OF_README = RESOURCES / "pictures"


def draw(drawing: Path, picture: Path, *options: str, command: str = "cut") -> None:
    """Have a command draw the picture of a drawing or program, with the built-in machine and chart."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        picture.parent.mkdir(parents=True, exist_ok=True)
        program = ["-o", str(Path(folder) / "out.nc")] if command == "cut" else []
        if main([command, str(drawing), *program, "--picture", str(picture), *options]) == 2:
            raise SystemExit(f"{picture.name} can't be drawn")


def draw_commands(out: Path) -> None:
    """Draw what the command line draws: proven, refused, many findings, raised, inspected, proven from its text."""
    from kerfproof_resources import drawing_names
    from window_pictures import faulty

    drawings = RESOURCES / "drawings"
    for name in drawing_names():
        draw(drawings / f"{name}.dxf", out / f"{name}.png")
        draw(drawings / f"{name}.dxf", out / f"{name}-dark.png", "--dark")
    gusset = drawings / "gusset.dxf"
    for mode in ("dry", "frame", "tour"):
        draw(gusset, out / f"gusset-{mode}.png", f"--{mode}")
    draw(gusset, out / "gusset-dry-dark.png", "--dry", "--dark")
    with tempfile.TemporaryDirectory() as folder:
        cover, sieve, program = (Path(folder) / name for name in ("cover.dxf", "sieve.dxf", "gusset.nc"))
        cover.write_bytes(faulty())
        sieve.write_bytes(_sieve())
        main(["cut", str(gusset), "-o", str(program)])
        draw(program, out / "gusset-proved.png", "--drawing", str(gusset), command="prove")
        for dark in ((), ("--dark",)):
            end = "-dark.png" if dark else ".png"
            draw(cover, out / f"cover-refused{end}", *dark)
            draw(cover, out / f"cover-inspected{end}", *dark, command="inspect")
            draw(sieve, out / f"sieve-refused{end}", *dark)
            draw(sieve, out / f"sieve-drilled{end}", "--small-holes", "drill", *dark)


def _sieve() -> bytes:
    """Return a plate with many holes that are too small to cut, and some that are not."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    space = doc.modelspace()
    space.add_lwpolyline([(0, 0), (240, 0), (240, 120), (0, 120)], close=True)
    for k in range(60):
        space.add_circle((20 + 12 * (k % 12), 20 + 20 * (k // 12)), 1.6 if k % 5 else 2.5)
    for y in (30, 90):
        space.add_circle((200, y), 12)
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


def draw_all(out: Path) -> None:
    """Draw every picture into a folder."""
    from window_pictures import render, render_at

    draw_commands(out)
    for path in render(out):
        print(path)
    render_at(out, "fine-display", 1280, 720, "2")
    render_at(out, "4k", 3840, 2160, "1")


def draw_readme() -> None:
    """Draw the pictures of the README anew."""
    from window_pictures import render_readme

    draw(RESOURCES / "drawings" / "gusset.dxf", OF_README / "gusset.svg")
    print(render_readme(OF_README / "window.png"))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", nargs="?", type=Path, help="folder for all pictures; without it those of the README")
    out = parser.parse_args().out
    if out is not None:
        draw_all(out)
    else:
        draw_readme()
