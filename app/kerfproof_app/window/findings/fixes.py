"""What can be done about a finding with one press: each fix is an edit of the job, so it can be undone. No Qt."""

from __future__ import annotations

from kerfproof.errors import Finding
from kerfproof.job.job import Job
from kerfproof.outcome import Outcome
from kerfproof_app.window.findings import fixes_cut as cut
from kerfproof_app.window.findings import fixes_drawing as drawing
from kerfproof_app.window.findings.fix import Fix, FixMaker
from kerfproof_app.window.widgets.words import tr


def fixes_for(finding: Finding, job: Job | None, outcome: Outcome | None) -> tuple[Fix, ...]:
    """Return what can be done about a finding; nothing for a program opened by itself (`job` is None)."""
    found: list[Fix] = []
    if finding.rule in FIELDS:
        found.append(Fix(tr("Open this field of the machine"), "", None, FIELDS[finding.rule]))
    if job is not None:
        found += [fix for make in _MAKERS.get(finding.rule, ()) for fix in make(finding, job, outcome)]
    return tuple(fix for fix in found if fix.job is None or fix.job != job)


FIELDS = {
    "machine-light-delay-short": "torch.light_delay",
    "machine-float-at-another-feed": "touch_off.float_measured_at",
    "machine-preload-small": "torch.preload",
    "machine-needs-flat-plate": "touch_off.kind",
    "machine-retouch-left-out": "touch_off.retouch_distance",
    "machine-corners-rounded": "control.path_tolerance",
    "machine-rise-feed-odd": "torch.rise_feed",
    "machine-acceleration-odd": "table.acceleration",
    "datum-left-behind": "z.end_clears_datum",
    "outside-travel": "table.travel_x",
}
_MAKERS: dict[str, tuple[FixMaker, ...]] = {
    "not-planned": (cut.plate, cut.chart_current),
    "open-chain": (drawing.join, drawing.slit_it, drawing.ignore_layer, cut.leave_out),
    "branch-point": (drawing.ignore_layer, cut.leave_out),
    "contours-cross": (drawing.ignore_layer,),
    "self-crossing": (drawing.ignore_contour, drawing.ignore_layer),
    "page-frame": (drawing.page,),
    "page-frame-doubt": (drawing.page,),
    "linetype-not-cut": (drawing.cut_line_type,),
    "linetype-cut": (drawing.ignore_line_type,),
    "points-listed": (drawing.mark_points,),
    "stencil-middle": (drawing.bridges,),
    "role-lost": (drawing.forget_role,),
    "order-by-hand-lost": (drawing.forget_order,),
    "duty-over": (cut.rests, cut.other_current),
    "air-over": (cut.rests, cut.other_current),
    "layer-ignored": (drawing.cut_layer,),
    "outline-ignored": (drawing.cut_layer, drawing.ignore_layer),
    "nothing-left": (drawing.cut_layer,),
    "units-doubtful": (drawing.units,),
    "units-contradict": (drawing.units,),
    "hole-too-small": (cut.small_holes,),
    "feature-not-cut": (cut.small_holes_left, cut.leave_out),
    "hole-to-drill": (cut.small_holes,),
    "hole-is-small": (cut.small_holes,),
    "no-room-for-lead": (cut.unpin, cut.shorter_leads, drawing.ignore_contour, cut.leave_out),
    "feature-lost": (drawing.ignore_contour, cut.leave_out),
    "neck-closes": (drawing.ignore_contour, cut.leave_out),
    "corner-not-reached": (cut.leave_out,),
    "kerf-not-found": (cut.leave_out,),
    "slit-meets-edge": (drawing.ignore_contour,),
    "slit-pierce-marks": (drawing.ignore_contour,),
    "pinned-start-lost": (cut.unpin,),
    "pinned-start-without-room": (cut.unpin,),
    "tip-face-near-kerf": (cut.unpin,),
    "pierce-near-kept-edge": (cut.unpin,),
    "pierce-over-void": (cut.unpin,),
    "lead-through-kept-metal": (cut.unpin,),
    "arc-crosses-gap": (cut.unpin,),
    "cut-off-plate": (cut.plate,),
    "off-plate": (cut.plate,),
    "contact-start-off-plate": (cut.unpin, cut.plate),
    "pierce-too-thick": (cut.other_current,),
    "pierce-at-limit": (cut.other_current,),
    "feed-beyond-machine": (cut.chart_feed, cut.other_current),
}
