"""What is told while a cut is planned."""

PAGES = """
not-planned
The cut could not be planned.
Matters: there is no program; the message says why.
Do: mend what it names.

hole-to-drill
Holes are too small for this plate and are left to the drill.
Matters: the part comes out without them; picture, sheet and report list size and place of each.
Do: drill them. Between the plate's thickness or 2.5 kerfs and the chart's smallest hole --small-holes rough cuts them.

hole-too-small
A hole is too small for this plate, and --small-holes error asks that none is left out.
Matters: the hole would come out rough, tapered and oversize, or not at all.
Do: --small-holes drill leaves it out for the drill, --small-holes rough cuts it roughly; or draw it larger.

feature-lost
A contour is narrower than the kerf and can't be cut.
Matters: the torch has no room in it.
Do: draw it wider, or drill it.

neck-closes
A contour has a neck narrower than the kerf, which parts its path.
Matters: what lies behind the neck can't be reached in one cut.
Do: draw the neck wider.

kerf-not-found
No path beside a contour was found that holds.
Matters: a doubtful path is not written.
Do: mend the drawing there.

too-close
Two contours lie nearer to each other than the kerf.
Matters: nothing, or a thread of metal, is left between them.
Do: leave more than two kerfs between them; delete one if the contour was drawn twice.

no-room-for-lead
No lead fits a contour.
Matters: a pierce on its edge would spoil it.
Do: leave more scrap around it, make it wider, or drill it.

pinned-start-lost
A start chosen by hand fits no contour any more.
Matters: the drawing changed; another start is taken.
Do: choose it again.

pinned-start-without-room
There is no room for a lead at a start chosen by hand.
Matters: another start was taken.
Do: choose one with more scrap around it.

order-by-hand-lost
Some places of the order by hand fit no contour any more.
Matters: the drawing changed; those contours are cut where they fall.
Do: look at the order again.

slit-meets-edge
A slit is open to the edge.
Matters: another cut must cross its kerf, and the arc may go out there.
Do: end it short of the edge, or draw it as a notch of the outline.

slit-pierce-marks
A slit has kept metal on both sides.
Matters: its pierce leaves a mark.
Do: draw it as a slot if the mark matters.

tab-lost
A tab set by hand fits no contour any more.
Matters: the part comes free there.
Do: set it again.

tab-without-room
An outline has no room for all of its tabs.
Matters: with fewer tabs the part may tip, with none it comes free.
Do: leave more scrap around it, or make the tabs narrower.

cut-other-way-round
A contour is cut the other way round than the swirl wants.
Matters: the squarer side of the kerf lies on the scrap.
Do: nothing, or let the planner choose.

cut-off-plate
A cut leaves the plate.
Matters: the arc goes out, or the torch runs against a clamp.
Do: move the part or use a larger plate.

process-estimated
The chart has no measured row for this plate; its values were worked out from others.
Matters: kerf and feed may be off by a tenth or more.
Do: cut a test piece first and put what it gives into the chart.

zinc-coated
The plate is galvanized.
Matters: zinc fume makes you sick within hours, and a coated plate spatters at the pierce.
Do: strip or grind the coating along the cuts, draw the fume off at the cut, follow your local codes.

far-from-chart
A kerf, feed or pierce delay is far from that of the chart.
Matters: it is often a slip of the unit, and the torch moves before it is through or loses the arc.
Do: check the value and its unit.

tip-outrun
The tip is used up before a part ends, or has fewer starts left than the program needs.
Matters: the kerf widens in the middle of a part.
Do: begin with a new tip, or have changes planned (machine file: watch.tip_changes).

witness-on-loose-metal
The witness mark lies on metal that is cut loose.
Matters: what moves shows nothing of lost steps.
Do: put it on metal that stays (machine file: witness_x, witness_y).

name-pattern
The name of a drawing does not follow the pattern; what the settings say was taken.
Matters: the plate may be another one than the name was to say.
Do: rename the drawing, or say it in its folder's kerfproof.toml.
"""
