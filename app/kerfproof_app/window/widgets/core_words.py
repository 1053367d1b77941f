"""The single words and phrases of the core that the window shows, listed for translators.

The core says them in English, as on the command line; the window passes them through `words.tr`. Whole sentences of
findings and refusals are the same here as there.
"""

from __future__ import annotations

from PySide6.QtCore import QT_TRANSLATE_NOOP

LEADS = (
    QT_TRANSLATE_NOOP("", "clear"),
    QT_TRANSLATE_NOOP("", "tight"),
    QT_TRANSLATE_NOOP("", "touches kept metal"),
    QT_TRANSLATE_NOOP("", "off the plate"),
    QT_TRANSLATE_NOOP("", "crosses another cut"),
    QT_TRANSLATE_NOOP("", "over a void"),
    QT_TRANSLATE_NOOP("", "meets another lead"),
    QT_TRANSLATE_NOOP("", "the kerf of the lead would touch metal you keep"),
    QT_TRANSLATE_NOOP("", "the pierce crater would reach a kept edge"),
    QT_TRANSLATE_NOOP("", "the pierce is too near the edge of the plate"),
    QT_TRANSLATE_NOOP("", "the kerf of the lead would cross another cut"),
    QT_TRANSLATE_NOOP("", "the tip would rest on a slot that is cut before"),
    QT_TRANSLATE_NOOP("", "a lead placed by hand is in the way"),
    QT_TRANSLATE_NOOP("", "corner"),
    QT_TRANSLATE_NOOP("", "middle"),
)
"""Verdicts on a lead, why, and where it snaps to."""
SHAPES = (
    QT_TRANSLATE_NOOP("", "arc"),
    QT_TRANSLATE_NOOP("", "extension"),
    QT_TRANSLATE_NOOP("", "from center"),
    QT_TRANSLATE_NOOP("", "straight"),
    QT_TRANSLATE_NOOP("", "tangential quarter arc"),
    QT_TRANSLATE_NOOP("", "along the extended first edge through an outside corner"),
    QT_TRANSLATE_NOOP("", "half circle from the center of a hole"),
    QT_TRANSLATE_NOOP("", "straight at 45 degrees"),
)
"""Lead shapes: their names, then their titles."""
STAGES = (
    QT_TRANSLATE_NOOP("", "reading"),
    QT_TRANSLATE_NOOP("", "joining"),
    QT_TRANSLATE_NOOP("", "kerf"),
    QT_TRANSLATE_NOOP("", "leads"),
    QT_TRANSLATE_NOOP("", "order"),
    QT_TRANSLATE_NOOP("", "travel"),
    QT_TRANSLATE_NOOP("", "writing"),
    QT_TRANSLATE_NOOP("", "reading the program"),
    QT_TRANSLATE_NOOP("", "playing on other tables"),
    QT_TRANSLATE_NOOP("", "comparing with the drawing"),
    QT_TRANSLATE_NOOP("", "applying the rules"),
    QT_TRANSLATE_NOOP("", "drawing"),
    QT_TRANSLATE_NOOP("", "drawing the sheet"),
    QT_TRANSLATE_NOOP("", "planning the test piece"),
    QT_TRANSLATE_NOOP("", "trying a place to go on"),
)
"""What is being computed."""
PIECES = (
    QT_TRANSLATE_NOOP("", "a ladder of straight cuts at rising feed, numbered: the best feed"),
    QT_TRANSLATE_NOOP("", "touches without the torch: the float, how the trip repeats, the datum word"),
    QT_TRANSLATE_NOOP("", "a circle run dry: whether the control stops where arcs meet"),
    QT_TRANSLATE_NOOP("", "small holes with over-burn {burns}: their own kerf and the best closure"),
    QT_TRANSLATE_NOOP("", "squares with round holes in three sizes: the width of the cut"),
    QT_TRANSLATE_NOOP("", "a row of pierces with rising delay: the pierce delay"),
    QT_TRANSLATE_NOOP("", "a large rectangle: squareness and scale of the axes"),
    QT_TRANSLATE_NOOP("", "rows of ten starts at other settings: how surely the arc lights"),
)
"""What a test piece is."""
