"""Controls with a skip move and macro tests.

Tier C: G31 ends silently when nothing is found, but the trip can be read and a line of the program can compare
and stop. Neither G31 nor macro tests are in the published language or in ISO 6983-1; all of this is common
practice, from memory, and must be tried on the control:

- parameter 5063 holds the Z of the trip in the present frame, and after a miss the end of the move. A control
  that leaves the old value there after a miss can't be guarded: use `skip` for it;
- a value put into parameter 3000 stops the control with an alarm;
- the control may read parameters before the axes rest, so a dwell stands before each reading.
"""

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss

DIALECT = Dialect(
    name="skip_macro",
    title="skip move with macro tests",
    probe_word="G31",
    probe_miss=ProbeMiss.SILENT,
    expressions=True,
    trip_parameter=5063,
    guard=Guard.COMPARE,
    guard_below="IF [{value} LT {limit}] THEN #3000=1",
    guard_above="IF [{value} GT {limit}] THEN #3000=1",
    end_word="M30",
    local_shift=True,
    unit_words_g70=True,
)
