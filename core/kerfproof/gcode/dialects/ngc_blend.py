"""The open standard with the path tolerance word that its descendants added: ``G64 P``.

As `ngc`, and G64 takes P, the largest distance from the programmed path in program units (common practice,
from memory; it is not in NISTIR 6556, 3.5.14). M62 to M68 switch outputs and wait for inputs (common practice, from
memory).
"""

from dataclasses import replace

from kerfproof.gcode.dialects.ngc import DIALECT as NGC

OUTPUTS = ("M62", "M63", "M64", "M65", "M66", "M67", "M68")
"""Outputs on and off with motion and at once, wait for an input, analogue outputs."""

DIALECT = replace(
    NGC, name="ngc_blend", title="RS-274/NGC with path tolerance", path_blend_word="G64 P{tolerance}", outputs=OUTPUTS
)
