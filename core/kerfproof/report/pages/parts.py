"""What is told of contours, roles and parts of a drawing."""

PAGES = """
gap-closed
A small gap between two ends was closed.
Matters: gaps that small come from rounding; the largest is told.
Do: nothing; a smaller --join leaves it open.

loop-closed
A curve that ends where it began, but for a small gap, was closed.
Matters: gaps that small come from rounding; the largest is told.
Do: nothing; a smaller --join leaves it open.

duplicate-removed
The same line was drawn twice; one was taken.
Matters: a contour drawn twice would be cut twice.
Do: nothing, or delete one of the two.

overlap-removed
Lines lay on each other in part; what was doubled was left out.
Matters: a doubled edge would be cut twice.
Do: nothing, or clean the drawing.

bit-dropped
A bit too short to matter was left out.
Matters: such bits come from rounding and trimming; the largest is told.
Do: nothing, or clean the drawing.

open-chain
A chain of lines does not close, so it is no contour and is not cut.
Matters: a hole or outline with a gap is missing from the part.
Do: close the gap in the drawing or allow it with --join; put what is not to be cut on an ignored layer.

nothing-closed
No chain of lines closes, so there is no outline.
Matters: a part needs a closed outline.
Do: draw the outline closed; slits need the role slit and a part round them.

nothing-left
All curves lie on layers or in line types that are not cut.
Matters: there is nothing to cut.
Do: give what is to be cut its role: --role LAYER=cut.

branch-point
Three or more lines meet in one point.
Matters: it is not clear what is metal and what is scrap.
Do: delete the line that does not belong to the outline, or put it on an ignored layer.

self-crossing
A contour meets itself.
Matters: its inside and outside are not defined.
Do: redraw it so that it does not meet itself.

contours-cross
Two contours cross, touch or share an edge.
Matters: the kerf between them is not defined.
Do: move them apart, unite them in the drawing, or put one on an ignored layer.

drawn-twice
A part fills its hole but for a thin gap: the contour seems to have been drawn twice.
Matters: both would be cut, one through the other's edge.
Do: delete one of the two.

outline-is-band
The outline is a thin band: lines seem to have been exported as the two edges of their pen stroke.
Matters: the part would be a ring of scrap.
Do: export single lines without a width, or delete one of the two edges.

outline-ignored
A contour round all that is cut lies on a layer that is ignored by its name.
Matters: it may be the outline of the part.
Do: say --role LAYER=cut if it is the outline, --role LAYER=ignore if it is not.

layer-ignored
What lies on a layer is not cut, because of the layer's name.
Matters: closed curves among it may be holes of the part.
Do: cut it all the same with --role LAYER=cut.

linetype-not-cut
What is drawn in a line type that means hidden edges or middles is not cut.
Matters: closed curves among it may be holes of the part.
Do: cut it all the same with --role linetype:NAME=cut.

linetype-cut
What is drawn in a line type that means hidden edges or middles is cut, as it closes a contour.
Matters: it may only be shown, and not be meant to be cut.
Do: if so, say --role linetype:NAME=ignore.

role-unused
A rule for a layer, color or line type meets nothing in the drawing.
Matters: its name may be misspelled, and what was meant has another role.
Do: check it with kerfproof inspect.

role-lost
No contour lies any more where one was given a role by hand.
Matters: the drawing changed, and the choice has no effect.
Do: choose it again.

chosen-not-cut
Closed contours on or near the parts are drawn and not cut as drawn, because of a choice.
Matters: the proof compares with what is left of the drawing; what a choice takes out of it is not compared.
Do: see that it is meant.

page-frame
A rectangle round everything is taken for a page frame and not cut.
Matters: it would be cut as the outline of one large part.
Do: nothing; if it is an outline, say --page cut.

page-frame-doubt
A rectangle round everything may be a page frame or an outline.
Matters: cut as an outline it frees everything at once; not cut, an outline is missing.
Do: say --page ignore or --page cut.

slit-outside-parts
A slit lies outside the parts or crosses an edge and is left out.
Matters: it is drawn and not cut.
Do: end it at the edge, move it onto a part, or put it on an ignored layer.

mark-outside-parts
A mark lies outside the parts or crosses an edge.
Matters: it belongs to no part.
Do: move it onto a part, or put it on an ignored layer.

slit-meets-hole
A slit runs into a hole.
Matters: the arc goes out over it, or the hole finds no sound plate to start on.
Do: end the slit short of the hole, or draw both as one contour.

drill-marks
Places to drill are marked by a short pierce or a cross.
Matters: you should know how many, and see that they are meant.
Do: nothing.

stencil-middle
Pieces inside a cut-out fall out of the part, like the middle of an O.
Matters: letters lose their middles, and loose pieces may tip up under the torch.
Do: let two bridges hold each with --bridges, or go on if you want the piece as a part.

bridges
Two bridges hold each middle of a stencil.
Matters: you should know how many, and see that they are meant.
Do: nothing; cut a bridge by hand where its middle is to come out.

points-listed
Points of the drawing are not cut.
Matters: they often mark places to drill.
Do: mark them for the drill with --drill-marks pierce.

mark-not-cut
A contour with the role mark is not cut.
Matters: you should know what is drawn and not cut.
Do: nothing, or give it the role cut or slit.
"""
