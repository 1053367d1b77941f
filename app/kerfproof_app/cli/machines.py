"""``kerfproof machines``: the machines of the shop."""

from __future__ import annotations

from kerfproof_app.cli.common.shop_file_commands import commands

COMMAND = commands("machines", "machine", "List, show, copy and check machine files.")
