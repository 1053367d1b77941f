"""One real session with events alone: open, mend, move a lead, export, reopen."""

from __future__ import annotations

from at_the_window import cut_of, drag, settle
from panels import plate_with_holes


def test_open_mend_move_a_lead_save_export_and_reopen(qtbot, window, tmp_path):
    path = tmp_path / "cover.dxf"
    path.write_bytes(plate_with_holes(20.0, 2.0))
    window.open_files([path])
    settle(qtbot, window)
    assert window.session.verdict == "NOT PROVEN"
    window.show_page("safe")
    number = next(k for k, f in enumerate(window.session.findings) if f.rule.startswith("hole"))
    window.session.select(finding=number)
    mends = window.findings.mends()
    assert mends, "a hole too small can be mended"
    window.findings.apply(mends[0])
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    outline = cut_of(window, "outline")
    x0, _y0, x1, y1 = window.session.outcome.parts.parts[0].outline.contour.path.bounds()
    drag(window.canvas, outline.pierce, ((x0 + x1) / 2 + 20, y1 + 1), ((x0 + x1) / 2 + 7, y1 + 1))
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    assert cut_of(window, "outline").contour.start[1] > y1
    job = window.session.save(tmp_path / "cover.kerfproof.toml")
    window.files.export_to(tmp_path / "cover.nc")
    program = (tmp_path / "cover.nc").read_bytes()
    window.close_work()
    assert window.stack.currentWidget() is window.start
    window.open_files([job])
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    assert window.session.outcome.program.text.encode() == program
    assert not window.session.unsaved
