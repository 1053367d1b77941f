"""Controls with a plain skip move and nothing a program could test.

Tier D: G31 ends silently when nothing is found, the trip can't be read, no line can compare. No text protects
from lighting after a missed plate; the program stops before every light-up instead, and says so. All of this is
common practice, from memory; G31 is neither in the published language nor in ISO 6983-1.

Arc centres are increments here as in the published language (NISTIR 6556, 3.5.3.2). Where the control is set to
absolute centres, the machine file says so. These controls keep the mode in a setting and know no word for it;
one that takes G90.1 and G91.1 is served by giving `arc_center_word`. They know G52 for a local shift, and G70 and G71
for inches and millimetres beside G20 and G21 (DIN 66025 practice).
"""

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss

DIALECT = Dialect(
    name="skip",
    title="plain skip move",
    probe_word="G31",
    probe_miss=ProbeMiss.SILENT,
    expressions=False,
    trip_parameter=None,
    guard=Guard.NONE,
    semicolon_comments=True,
    end_word="M30",
    local_shift=True,
    unit_words_g70=True,
)
