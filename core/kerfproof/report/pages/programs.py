"""What is told of a program, its heading and its drawings, and of programs that go on with others."""

PAGES = """
heading-contradicted
The heading or a plain comment at the top says another thing than the program, the machine or the chart.
Matters: people set up by what they read there; the proof judges the words of the program.
Do: write the program again; change feeds and kerf with options, not by hand.

not-compared
The program was compared with no drawing, or not with all of them.
Matters: it was judged by the rules alone, and nobody knows whether it cuts the right part.
Do: give drawing, material and thickness.

drawing-found
The place of a drawing was found from the cut.
Matters: that is where it was compared.
Do: nothing; --at says it otherwise.

drawing-missing
A drawing that the heading names is not at hand, or one was given that it does not name.
Matters: nothing was compared with it.
Do: lay it beside the program, or name it with --drawing.

drawing-not-found
The drawing was not found in what the first program cuts.
Matters: nothing is compared with it, and the side of the scrap is guessed.
Do: see that it is the drawing, and that the kerf is right.

other-machine
The program was made for another machine file than the one it is proven for.
Matters: float, heights and words may be others.
Do: write it again with kerfproof cut.

plate-assumed
The program does not say what it cuts; a plate was assumed.
Matters: feed, kerf and heights were judged for that plate.
Do: see that this is what lies on the table, or name material and thickness.

machine-assumed
No machine was named, so the default one was taken.
Matters: room, feeds, starts and heights were judged for that machine.
Do: name the machine with --machine, or set the default.

shop-assumed
The first program does not say its machine, plate or kerf; what was taken is told.
Matters: the rest is written for what was taken.
Do: if that is not so, say it with the options that the message names.

rule-weighed
A rule counts otherwise here, because the machine file or the job says so.
Matters: what is not told may still be wrong; only the machine file makes less of an error.
Do: look at its reason.

held-by-tabs
Tabs hold the parts in the sheet.
Matters: they do not come free by the program alone.
Do: cut the tabs by hand when the sheet is out.

tab-cut-through
The torch comes too near to the middle of a tab.
Matters: the tab holds nothing, and the part may tip.
Do: write the program again.

tab-not-believed
The heading calls a stretch a tab that is none.
Matters: metal that was to be cut would be left, or a hole left out.
Do: cut it, or write the program again.

played-in-part
The program is too long to be played with all faults of the touch-off.
Matters: what happens at some cuts after a missed or false touch was not tried.
Do: prove it in pieces to be sure.

first-missing
A resumed program goes on with a first one that is not at hand as it was.
Matters: where kerfs are open and what is loose is not known.
Do: name it with --first, or put it into the folder of this one.

first-not-proven
The first program is not proven itself.
Matters: what it left on the plate may be another thing than was drawn.
Do: kerfproof prove tells all of it.

program-not-ours
The first program was written by somebody else; its cuts are taken as they read.
Matters: leads, parts and over-burn are guessed from the path.
Do: look at the picture of what is left before you cut.

feed-evened
A cut of the first program changes its feed on the way.
Matters: it is resumed at the feed it mostly has.
Do: watch the slow stretches.

plate-unknown
The program does not say how large the plate is.
Matters: a new pierce may lie beside it.
Do: see that the new pierce lies on sound plate.

scrap-side-guessed
Without the drawing nobody knows on which side of a cut the scrap is.
Matters: a new pierce in the part spoils it.
Do: name the drawing with --drawing.

taken-as-not-begun
A cut is taken as not begun.
Matters: its pierce must lie on sound plate; if its arc was lit, a kerf is there.
Do: if it was lit, say how far it got: --at or --near.

cut-in-loose-metal
A cut lies in metal that is free already.
Matters: it may have tipped or shifted, and the torch strikes it or cuts in the wrong place.
Do: drill it or cut the part anew; leave the cut out.

pierce-beside-kerf
A new pierce lies close beside an open kerf.
Matters: the plate is found next to it, and the arc may not light.
Do: watch that the arc lights there.

plate-changed-in-rest
A program that goes on with another asks for a new plate on the way.
Matters: what was cut before lies on the old one.
Do: cut what is left on this plate alone.
"""
