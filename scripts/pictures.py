"""Draw the pictures: ``.venv/bin/python scripts/pictures.py [OUT]``.

Without OUT the picture of the README anew; with it all pictures, of the window and of the command line, as PNG.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from kerfproof_app.__main__ import main
from kerfproof_app.store import CONFIG_VARIABLE

RESOURCES = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources"


def draw(name: str, picture: Path | None = None, *options: str) -> int:
    """Draw the picture of one demo drawing, with the built-in machine and chart; return the exit code."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        drawing = RESOURCES / "drawings" / f"{name}.dxf"
        picture = picture or RESOURCES / "pictures" / f"{name}.svg"
        picture.parent.mkdir(parents=True, exist_ok=True)
        return main(["cut", str(drawing), "-o", str(Path(folder) / "out.nc"), "--picture", str(picture), *options])


def draw_all(out: Path) -> int:
    """Draw every picture into a folder; return the worst exit code."""
    from kerfproof_resources import drawing_names
    from window_pictures import render

    worst = 0
    for name in drawing_names():
        worst = max(worst, draw(name, out / f"{name}.png"), draw(name, out / f"{name}-dark.png", "--dark"))
    for path in render(out):
        print(path)
    return worst


if __name__ == "__main__":
    sys.exit(draw_all(Path(sys.argv[1])) if len(sys.argv) > 1 else draw("gusset"))
