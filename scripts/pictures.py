"""Draw the picture of the README anew: ``.venv/bin/python scripts/pictures.py``."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from kerfproof_app.__main__ import main
from kerfproof_app.store import CONFIG_VARIABLE

RESOURCES = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources"


def draw(name: str) -> int:
    """Draw the picture of one demo drawing, with the built-in machine and chart; return the exit code."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        drawing, picture = RESOURCES / "drawings" / f"{name}.dxf", RESOURCES / "pictures" / f"{name}.svg"
        picture.parent.mkdir(exist_ok=True)
        return main(["cut", str(drawing), "-o", str(Path(folder) / "out.nc"), "--picture", str(picture)])


if __name__ == "__main__":
    sys.exit(draw("gusset"))
