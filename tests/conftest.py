"""Settings for all tests."""

from __future__ import annotations

import os

from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
settings.register_profile("ci", derandomize=True, deadline=None, database=None, max_examples=50)
settings.load_profile("ci")
