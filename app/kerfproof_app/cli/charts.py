"""``kerfproof charts``: the cut charts of the shop."""

from __future__ import annotations

from kerfproof_app.cli._shopfiles import commands

COMMAND = commands("charts", "chart", "List, show, copy and check cut charts.")
