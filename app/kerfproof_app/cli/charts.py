"""``kerfproof charts``: the cut charts of the shop."""

from __future__ import annotations

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk
from kerfproof_app.cli.common.shop_file_commands import commands

COMMAND = commands("charts", "chart", "List, show, copy and check cut charts, and estimate rows they lack.")


@COMMAND.command("estimate", help="Estimate a row between measured ones or slightly beyond, by the energy balance.")
@o.takes(
    o.argument("name", "NAME|FILE", ""),
    o.text("--thickness", "LENGTH", 'Plate thickness: "3.5 mm".', default=o.MUST),
    o.MATERIAL,
    o.AMPS,
    o.text("--save", "NAME", "Write the row into this chart of your own."),
)
def estimate(options: o.Options) -> int:
    """Print the estimate as a row for a chart file."""
    from datetime import date

    from kerfproof.shop.energy import estimate as estimated
    from kerfproof.shop.material import material_key
    from kerfproof.units import format_feed
    from kerfproof_app.cli.common.job_from_options import current_of, length_of, plate_of
    from kerfproof_app.cli.common.shop_from_options import chart_of
    from kerfproof_app.shop import save_measurements, store

    file = store.shop_file("charts", options["name"])
    wanted, _thickness, _assumed = plate_of(options)
    rows = [row for row in chart_of(file).rows if material_key(row.material) == material_key(wanted)]
    current = current_of(options["amps"]) if options["amps"] else None
    row = estimated(rows, length_of("thickness", options["thickness"]), current, file.name)
    talk.result(f"{row.material}, {row.thickness:g} mm at {row.amps:g} A: {format_feed(row.feed_mm_min)}; {row.source}")
    talk.result(save_measurements.row_text(row))
    if options["save"] is not None:
        path = save_measurements.save_estimate(options["save"], row, date.today().isoformat())
        talk.result(f"saved in {path}, marked as an estimate: cut a test piece before a good sheet")
    return 0
