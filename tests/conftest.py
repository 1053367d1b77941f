"""Settings for all tests."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# The tip life of whoever runs the tests is none of their business.
os.environ["KERFPROOF_DATA"] = str(Path(tempfile.gettempdir()) / "kerfproof-tests-keep-nothing-here")
if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    # Processes that tests start would each compile everything anew: a third of their time.
    os.environ["PYTHONPYCACHEPREFIX"] = str(Path(__file__).parents[1] / ".pytest_cache" / "bytecode")
settings.register_profile("ci", derandomize=True, deadline=None, database=None, max_examples=50)
settings.load_profile("ci")
