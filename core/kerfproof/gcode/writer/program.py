"""A written program and where its cuts stand in the text."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Block:
    """One cut in the text: its index in the plan, and its first, torch-on and last line (from 1)."""

    cut: int
    first: int
    light: int
    last: int


@dataclass(frozen=True, slots=True)
class Program:
    """Program text (ASCII, line feeds as line ends) with its blocks in order."""

    text: str
    blocks: tuple[Block, ...]

    def cut_at(self, line: int) -> int | None:
        """Return the index of the cut whose block holds `line`, None outside all blocks."""
        for block in self.blocks:
            if block.first <= line <= block.last:
                return block.cut
        return None
