"""The open standard as published (NISTIR 6556), with nothing that came later.

Tier A: a probing move that finds nothing is an error (3.5.9.1), the trip can be read (parameter 5063, 3.2.1),
and a program can stop itself, because the root of a negative number is an error (3.3.2.4).

- G38.2 straight probe: 3.5.9.1. The reader waits until it has ended before it reads on (A.1).
- G92 names only the axes it shifts, G92.1 clears the shifts of all axes: 3.5.18.
- G64 has no tolerance word in the published language: 3.5.14. A control that takes one is `ngc_blend`.
- Arc centres are always increments from the start of the arc (3.5.3.2), so no word states it.
- Start and end radius within 0.002 mm or 0.0002 inch: 3.5.3.2.
- G4 P in seconds: 3.5.4. Lines of at most 256 characters and no semicolon comments: 3.3.

That 5063 is in the present frame and in program units is from memory of the published interpreter: prove it
on the control with the datum check of the float test piece.
"""

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss

DIALECT = Dialect(
    name="ngc",
    title="RS-274/NGC as published",
    probe_word="G38.2",
    probe_miss=ProbeMiss.STOPS,
    expressions=True,
    trip_parameter=5063,
    guard=Guard.SQRT,
)
