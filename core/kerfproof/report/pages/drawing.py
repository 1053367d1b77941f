"""What is told of a drawing's file, its unit and its entities."""

PAGES = """
units-unknown
The drawing says no unit, or one that does not exist.
Matters: a part in the wrong unit is 25.4 times too large or too small.
Do: give the unit with --units mm, cm or in.

units-given
The file says another unit than the one that was asked for.
Matters: one of the two is wrong, and the size with it.
Do: check the size before you cut.

units-contradict
The file says its unit twice, and not the same.
Matters: the size may be 25.4 times off.
Do: check the size; give the unit with --units.

units-doubtful
The sizes in the drawing suggest another unit than the file says.
Matters: holes of a fraction of a millimetre or parts of many metres are seldom meant.
Do: check the size; give the unit with --units.

decimal-comma
Numbers of the file are written with a decimal comma and were read so.
Matters: if the commas group thousands, the size is wrong.
Do: compare the size with the drawing.

entity-broken
An entity of the drawing can't be read or contradicts itself.
Matters: a line is missing from the part.
Do: draw or export it again, or delete it.

entity-lost
Part of a damaged file could not be mended.
Matters: the drawing that was read is not the one that was drawn.
Do: export the drawing again.

entity-tilted
An entity does not lie in the plane of the drawing.
Matters: seen from above it has another shape, so it is not cut.
Do: turn it into the plane if it is to be cut, else delete it or ignore its layer.

entity-not-read
An entity of a kind that is not read here is not cut.
Matters: if it belongs to the part, it is missing.
Do: explode it or draw it with lines and arcs if it is to be cut.

left-out
Entities of these kinds are not cut: text, dimensions, hatches and the like.
Matters: you should know what is drawn and not cut.
Do: nothing, or draw the outlines of what is to be cut; letters become outlines with --role kind:TEXT=slit.

file-mended
The file did not keep to its format and was mended.
Matters: most such files are read as they were meant.
Do: compare the picture with the drawing.

file-goes-on
There is more in the file behind its end mark, which was not read.
Matters: it is seldom part of the drawing.
Do: compare the picture with the drawing.

file-end-missing
The end mark of the file is missing; the drawing before it looks whole.
Matters: the file may have broken off.
Do: compare the picture with the drawing, or export it again.

nothing-to-cut
The drawing has nothing that can be cut, or nothing where it was looked for.
Matters: there is no program without it.
Do: export the outlines as flat lines, arcs or polylines in model space; look at layers and window.

layer-missing
Nothing lies on a layer that was chosen.
Matters: its name may be misspelled, and what was meant is not cut.
Do: check its name with kerfproof inspect.

window-crossed
A curve crosses the edge of the chosen window and is not cut.
Matters: a part may be cut without one of its contours.
Do: choose a larger window.

drawing-changed
The drawing is not as it was when the job was saved or the program was written.
Matters: what was chosen on it may fit no longer, and the program cuts the old part.
Do: write the program again.
"""
