"""As `compact`, for controllers where the datum goes into the work offset: ``G10 L20``.

G10 L20 makes the present position read the given value and keeps it in the work offset that P names (P1 is
G54). It is not in the published language, which has only L2 (NISTIR 6556, 3.5.5); common practice, from memory.
The offset outlives the program end and the power switch, and nothing clears it.
"""

from dataclasses import replace

from kerfproof.gcode.dialects.compact import DIALECT as COMPACT

DIALECT = replace(
    COMPACT,
    name="compact_offset",
    title="small controller, datum in the work offset",
    datum_word="G10 L20 P{system} Z{z}",
    datum_clear="",
    datum_clear_all_axes=False,
    datum_survives_end=True,
)
