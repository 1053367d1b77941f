"""What is told of test pieces and of what was read from them."""

PAGES = """
not-the-piece
A program that says it is a test piece does not do what the piece made again from its heading does.
Matters: its rules are loosened for what a piece tries, and its readings would say something else.
Do: write the piece again with kerfproof coupon.

coupon-differs
The program of a test piece is not the piece that was meant.
Matters: what is read from it would be wrong.
Do: report this.

reading-impossible
A reading can't be true.
Matters: it is often typed in the wrong unit or for another place.
Do: measure it again, or leave the reading out.

reading-outlier
A reading does not fit the others.
Matters: it is left out, or spoils the result.
Do: measure it again.

reading-twice
The same thing is read or named twice.
Matters: nobody knows which one counts.
Do: say it once.

few-readings
There are so few readings that no slip would be noticed.
Matters: the result may be off without a sign.
Do: measure three or more; take eight touches.

row-missing
The tally of the first row is missing.
Matters: the other rows have nothing to be compared with.
Do: count it.

diagonal-missing
A diagonal of the square was not measured.
Matters: squareness shows in both diagonals alone.
Do: measure both again.

kerf-negative
A reading would mean a kerf below nothing.
Matters: the piece was not cut from this program, or the reading is of something else.
Do: measure it again.

kerf-impossible
The readings give a kerf that no small torch has.
Matters: the unit or the piece is another one.
Do: look at the unit; see that they are of this piece.

kerf-scatters
The readings scatter more than is usual.
Matters: the mean says little.
Do: measure again on clean edges; look at tip, height and slack in the axes.

kerf-by-kind
Outlines and holes both come out smaller, or both larger, than their paths and the kerf.
Matters: an axis has slack, or the edge a bevel.
Do: look for slack first; the kerf in the chart is without it.

joints-stop
The control stops where two moves of a circle meet.
Matters: the arc stands there and burns a dimple into the edge at each joint.
Do: let the control blend within 0.05 mm, and see that it heeds the word for it.

kerf-one-kind
Only squares or only holes were measured.
Matters: slack in an axis makes both smaller, a wide kerf makes holes larger; one kind alone can't tell them apart.
Do: measure the other kind, too. The error that is told allows for usual slack.

kerf-one-size
All sizes measured are near each other.
Matters: a wrong scale of the axes looks like kerf.
Do: measure the smallest and the largest, too. The error that is told allows for a usual scale.

scale-off
Sizes are off by more the larger they are.
Matters: that is no kerf but the scale of the axes.
Do: cut the test piece square, put the scale right, repeat.

closures-disagree
The holes that closed best have different over-burns in different rows.
Matters: one of them is a slip, or small holes want less.
Do: look again.

rungs-apart
The best rungs do not lie side by side.
Matters: one of them is a slip, or the dross changed its kind.
Do: look again and name neighbours.

marks-without-top
The marks of the rungs do not rise and fall.
Matters: they have no best feed.
Do: look again, or cut a ladder farther out.

ladder-too-short
The best feed lies at the end of the ladder or beyond.
Matters: a better one may lie outside.
Do: cut another ladder around this feed (--feed).

all-through
Even the shortest delay is through.
Matters: the rise alone is enough.
Do: nothing.

never-through
No pierce is through.
Matters: the delays are too short, or the plate is too thick.
Do: raise the delay or the current, and cut the row again.

last-not-through
The longest delay is not through.
Matters: shorter ones that seem to be are a slip.
Do: raise it and cut the row again.

pierces-mixed
A pierce is through and a longer one is not.
Matters: one of them is a slip, or sat on a dirty spot.
Do: look again, or cut the row again.

tip-life
The test piece takes more starts than a tip lasts.
Matters: the last rows are cut with a worn tip.
Do: begin with a new tip, or vary one thing at a time (--vary).

touch-spreads
The trips spread over more than a tenth of the cut height.
Matters: so does the height of every cut.
Do: look at switch, slide and wiring; touch slower.

gaps-disagree
The gaps under the tip contradict each other.
Matters: one is a slip, or Z has slack.
Do: measure both again.

datum-not-taken
The display does not show what the datum word set.
Matters: every height is off by the difference.
Do: look for another datum word or work offset in the way; see the dialect's datum word.

datum-timing
The control took the datum while Z was still moving.
Matters: every height is off by the rest of that move.
Do: take a longer dwell before the datum word, or another datum word (control.dialect).
"""
