"""The numbers by which a proof judges, each with its reason, in one place. Lengths mm, times s."""

from __future__ import annotations

DEVIATION_ERROR = 0.02
"""A gouge or a leftover beyond this is an error: ten times what rounded text and arc tolerances can cause
(0.002 mm, NISTIR 6556 3.5.3.2), a tenth of what air plasma holds in the shop (common practice, no source)."""

DEVIATION_SEEN = 0.005
"""Below this a deviation is not told: curves are fitted by arcs within 5 um."""

CONTACT_GAP = 0.1
"""A contact torch lights up to this gap (common practice, no source)."""

CONTACT_BAND = 0.05
"""How far the preload at light-up may differ from the machine's."""

PILOT_LEAST, PILOT_MOST = 1.0, 6.0
"""A pilot arc double-arcs nearer and does not transfer farther (common practice, no source)."""

HEIGHT_BAND = (0.8, 3.0)
"""Cut heights accepted where the process names none (common practice, no source)."""

HEIGHT_NEAR = 0.3
"""How far the cut height may differ from the process before a warning."""

HEIGHT_PLAYED = 0.05
"""How far the cut height may differ from the nominal one when plate or control differ (what a touch-off holds)."""

DATUM_OFF = 0.2
"""A datum farther than this from the float is an error."""

REACHED = 0.5
"""A rapid that ends lower over the plate than this, where a search follows, reaches it: dross stands up on a plate."""

SHIFTED_TOUCH = 15.0
"""A touch-off this near the pierce counts for it (touched beside a spoiled spot, then stepped over)."""

LAST_STRETCH = 8.0
"""At the end of a run (over-burn and lead-out) a contact arc may cross an open kerf: what goes out is scrap."""

TIP_UP_LOW = 5.0
"""Travel lower than this over a freed piece hits it however small it is."""

NUDGE = 0.05
"""A move along Z no longer than this lets a waiting output switch and moves the torch nowhere (common practice, from
memory)."""
REJOIN = 3.0
"""A cut taken up again runs over so much of the open end of the one that stopped, mm; its walls still hold the arc
(common practice, no source)."""
