"""The open standard with the path tolerance word that its descendants added: ``G64 P``.

As `ngc`, and G64 takes P, the largest distance from the programmed path in program units (common practice,
from memory; it is not in NISTIR 6556, 3.5.14).
"""

from dataclasses import replace

from kerfproof.dialects.ngc import DIALECT as NGC

DIALECT = replace(NGC, name="ngc_blend", title="RS-274/NGC with path tolerance", path_blend_word="G64 P{tolerance}")
