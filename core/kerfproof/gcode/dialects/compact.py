"""Small motion controllers that read a subset of RS-274/NGC without parameters.

Tier B: G38.2 raises an alarm when nothing is found, but the trip can't be read and a program can't compare.
The datum is therefore set where Z rests after the slow touch. All of this is common practice, from memory:

- no parameters, no expressions: numbers only;
- one path mode, G61; tangent joints run through, corners are rounded by a setting of the controller;
- arc centres are increments, and G91.1 says so;
- G92.1 clears the shifts of all axes; the shift is gone after a reset;
- ``;`` begins a comment; the line buffer holds 80 characters;
- ``! ~ ?`` act at once even inside a comment, so the writer never lets them through.
"""

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss

DIALECT = Dialect(
    name="compact",
    title="small controller, subset of RS-274/NGC",
    probe_word="G38.2",
    probe_miss=ProbeMiss.ALARM,
    expressions=False,
    trip_parameter=None,
    guard=Guard.NONE,
    arc_center_word="G91.1",
    path_blend_word="G61",
    path_exact_word="G61",
    semicolon_comments=True,
    line_limit=80,
    acts_at_once="!~",
)
