"""What is told of a machine that can be used and is likely to disappoint."""

PAGES = """
machine-light-delay-short
The light delay is shorter than relay, preflow and ignition usually take.
Matters: the torch moves before the arc is lit, and the contour is run cold.
Do: measure the longest one, from cold; 0.4 s is a usual start.

machine-float-at-another-feed
The float was measured at another feed than the second touch runs at.
Matters: the overrun after the trip is another, and so is every height.
Do: measure it again at slow_feed, or set slow_feed to the feed of the measurement.

machine-float-at-another-acceleration
The float was measured at another acceleration of Z.
Matters: the overrun after the trip is another, and so is every height.
Do: measure it again (kerfproof coupon float).

machine-preload-small
The preload may leave the tip without contact at light-up.
Matters: without contact a contact-start torch does not light.
Do: use 1 mm; the force is only the weight of the head.

machine-needs-flat-plate
A contact start on a fixed head without touch-off lights only on plate that is flat within 0.3 mm.
Matters: on lower plate it does not light, on higher plate the tip is pressed in.
Do: keep jobs within about 300 mm, or fit a touch-off.

machine-retouch-left-out
A distance for leaving touch-off out counts for a pilot torch alone.
Matters: a contact start touches off each time, or leaves it out by another key, with your consent.
Do: set retouch_distance to 0; leave_touch_off_out is the consent.

machine-corners-rounded
The control may round corners by more than a tenth of a kerf.
Matters: corners of the part come out rounded.
Do: set path_tolerance to 0.05 to 0.1 mm.

machine-rise-feed-odd
The rise after light-up is slower or faster than usual.
Matters: slower dwells in the crater, faster snaps a cold arc.
Do: use 600 to 1200 mm/min.

machine-acceleration-odd
An acceleration is one that no home-built table has.
Matters: its unit is likely wrong, and all times with it.
Do: look at its unit.
"""
