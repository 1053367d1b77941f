"""Sizes of sheets of paper."""

from kerfproof.box import Box

PAPER_ON = 0.6
"""A frame this near (mm) to the size of a sheet of paper has that size."""

SHEETS = {
    "A0": (841.0, 1189.0), "A1": (594.0, 841.0), "A2": (420.0, 594.0), "A3": (297.0, 420.0), "A4": (210.0, 297.0),
    "A5": (148.0, 210.0), "letter": (215.9, 279.4), "legal": (215.9, 355.6), "ledger": (279.4, 431.8),
    "ANSI C": (431.8, 558.8), "ANSI D": (558.8, 863.6), "ANSI E": (863.6, 1117.6),
}  # fmt: skip
"""Short and long side of sheets of paper (mm): ISO 216; ASME Y14.1."""


def sheet_of(box: Box) -> str:
    """Return the paper of the size of a box, empty if there is none."""
    short, long = sorted((box[2] - box[0], box[3] - box[1]))
    for name, (a, b) in SHEETS.items():
        if abs(short - a) <= PAPER_ON and abs(long - b) <= PAPER_ON:
            return name
    return ""
