"""``kerfproof machines``: the machines of the shop."""

from __future__ import annotations

from kerfproof_app.cli._shopfiles import commands

COMMAND = commands("machines", "machine", "List, show, copy and check machine files.")
