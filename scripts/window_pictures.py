"""The window as pictures, rendered offscreen: light, dark, small, large, with findings, a lead in hand, and so on."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from kerfproof_app.shop.store import CONFIG_VARIABLE

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

    from kerfproof_app.window.main_window import MainWindow

SMALL, USUAL, LARGE = (1280, 720), (1440, 900), (2560, 1440)


def render(out: Path) -> Iterator[Path]:
    """Render every picture of the window into a folder and yield the files."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    with TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        yield from _Studio(out, Path(folder)).pictures()


def render_readme(target: Path) -> Path:
    """Render the window as the README shows it, packed small, and return the file."""
    from PIL import Image

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    with TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        studio = _Studio(Path(folder) / "out", Path(folder))
        studio.window.shop_pages.leave()
        studio.demo("gusset")
        studio.window.show_page("torch")
        studio.window.pages.torch_tabs.setCurrentIndex(2)
        studio.window.session.go_to(66.0)
        with Image.open(studio.shot("readme", SMALL)) as image:
            # The last bit of each channel is nothing to an eye and a third of the file.
            image.convert("RGB").point([value & 0xFE for value in range(256)] * 3).save(target, optimize=True)
        studio.window.files.closing = True
        studio.window.close()
    return target


def render_at(out: Path, name: str, width: int, height: int, factor: str) -> None:
    """Render a sheet in a window of another size on a display with `factor` times as many pixels.

    In a process of its own: Qt takes the factor at its start.
    """
    words = "import sys; from window_pictures import _sheet_at; _sheet_at(*sys.argv[1:])"
    subprocess.run(
        [sys.executable, "-c", words, str(out), name, str(width), str(height)],
        env=os.environ | {"QT_SCALE_FACTOR": factor, "QT_QPA_PLATFORM": "offscreen"},
        cwd=Path(__file__).parent,
        check=True,
    )


def _sheet_at(out: str, name: str, width: str, height: str) -> None:
    with TemporaryDirectory() as folder:
        os.environ[CONFIG_VARIABLE] = folder
        studio = _Studio(Path(out), Path(folder))
        studio.window.shop_pages.leave()
        studio.demo("sluice-sheet")
        studio.window.show_page("torch")
        print(studio.shot(name, (int(width), int(height))))
        studio.window.files.closing = True
        studio.window.close()


class _Studio:
    def __init__(self, out: Path, folder: Path) -> None:
        from kerfproof_app.window.start import application, opened

        self.app = application()
        self.out, self.folder = out, folder
        out.mkdir(parents=True, exist_ok=True)
        self.window: MainWindow = opened([])
        self.window.show()

    def pictures(self) -> Iterator[Path]:
        window = self.window
        yield self.shot("first-start", SMALL)
        window.shop_pages.leave()
        yield self.shot("start", SMALL)
        self.demo("gusset")
        window.show_page("part")
        yield self.shot("gusset-light", SMALL)
        window.show_page("torch")
        yield self.shot("settings", SMALL)
        yield from self.scrolled()
        yield from self.leads()
        yield from self.program()
        yield from self.findings()
        yield from self.questions()
        yield from self.large()
        yield from self.shop()
        yield from self.around()
        window.files.closing = True
        window.close()

    def scrolled(self) -> Iterator[Path]:
        """Render what of the two pages of settings lies below the window's edge."""
        from PySide6.QtWidgets import QScrollArea

        window = self.window
        for page, widget in (("part", window.pages.part), ("torch", window.pages.torch)):
            window.show_page(page)
            area = widget.findChild(QScrollArea)
            assert area is not None
            for share in (0.5, 1.0):
                area.verticalScrollBar().setValue(round(share * area.verticalScrollBar().maximum()))
                yield self.shot(f"{page}-{share:.0%}".rstrip("%"), SMALL)
            area.verticalScrollBar().setValue(0)

    def around(self) -> Iterator[Path]:
        """Render what belongs before and after the cut: test pieces, pierces, a program that stopped."""
        from PySide6.QtWidgets import QFileDialog

        from kerfproof_app.window.shop.test_piece_page import CouponPage

        window = self.window
        self.demo("gusset")
        window.shop_pages.show_coupon()
        page = window.shop_pages.made["coupon"]
        assert isinstance(page, CouponPage)
        yield self.shot("test-piece", SMALL)
        page.make_piece()
        self.wait(lambda: not window.background.is_busy)
        for dialog in page.findChildren(QFileDialog):
            dialog.close()
        page.write_piece(self.folder / "kerf.nc")
        sizes = page.form.piece.facts["cut"] if page.form.piece is not None else {}
        for number, (name, size) in enumerate(sizes.items()):
            reading = size["size"] + (0.1 if name[0] == "S" else -0.1) + 0.03 * number + (0.9 if name == "S2" else 0.0)
            page.form.rows[name].editor.setText(f"{reading:.2f} {reading + 0.04:.2f}")  # type: ignore[attr-defined]
        page.form.work_out()
        yield self.shot("test-piece-read", LARGE)
        window.shop_pages.show_pierces()
        yield self.shot("pierces", SMALL)
        window.shop_pages.leave()
        run = window.session.outcome.proof.runs[3]  # type: ignore[union-attr]
        line = window.session.timeline
        assert line is not None
        window.session.go_to(float(0.5 * (line.begin[run.first_row] + line.end[run.last_row])))
        window.exports.rest.ask()
        yield self.shot("going-on", SMALL)
        answer = window.question.button("In the middle, from here") or window.question.button("From the start of cut 4")
        assert answer is not None
        answer.click()
        self.wait(lambda: not window.background.is_busy)
        yield self.shot("gone-on", SMALL)
        window.question.drop_all()

    def leads(self) -> Iterator[Path]:
        from kerfproof_app.window.plate.tools.select_tool import SelectTool

        window = self.window
        window.pages.torch_tabs.setCurrentIndex(1)
        cuts = window.session.outcome.plan.cuts  # type: ignore[union-attr]
        window.plate_commands.hold_lead(cuts[-1].feature)
        look = window.canvas.tool
        assert isinstance(look, SelectTool)
        assert look.lead is not None
        window.canvas.fly_to(150.0, 115.0, 6.0)
        look.lead.slide_to((137.0, 108.0))
        yield self.shot("lead-clear", SMALL)
        look.lead.shape, look.lead.size = "straight", 11.0
        window.canvas.fly_to(20.0, 90.0, 8.0)
        look.lead.slide_to((10.7, 90.0))
        yield self.shot("lead-off-plate", SMALL)
        look.leave()
        window.canvas.fit()

    def program(self) -> Iterator[Path]:
        from kerfproof.job.job import Mode

        window = self.window
        window.pages.torch_tabs.setCurrentIndex(2)
        window.session.go_to(66.0)
        yield self.shot("program", SMALL)
        window.show_theme("dark")
        yield self.shot("program-dark", SMALL)
        window.show_theme("light")
        window.session.go_to(0.0)
        window.pages.torch_tabs.setCurrentIndex(0)
        window.session.change("program", mode=Mode.DRY)
        self.settle()
        yield self.shot("dry", SMALL)
        window.session.undo()
        self.settle()

    def findings(self) -> Iterator[Path]:
        window = self.window
        path = self.folder / "cover.dxf"
        path.write_bytes(faulty())
        self.open(path)
        window.show_page("safe")
        yield self.shot("findings", SMALL)
        window.session.select(finding=0)
        yield self.shot("findings-shown", SMALL)
        window.commands["export"].trigger()
        yield self.shot("export-question", SMALL)
        window.question.drop_all()
        window.session.change("thickness", thickness=80.0)
        self.settle()
        yield self.shot("cannot-be-planned", SMALL)
        window.session.undo()
        self.settle()
        path = self.folder / "open.dxf"
        path.write_bytes(open_outline())
        self.open(path)
        panel = window.area.findings
        panel.view.setCurrentIndex(panel.model.index(1))
        yield self.shot("nothing-to-cut", SMALL)
        panel.show_chosen()
        yield self.shot("nothing-to-cut-shown", SMALL)
        window.question.drop_all()

    def questions(self) -> Iterator[Path]:
        window = self.window
        path = self.folder / "plain.dxf"
        path.write_bytes(faulty(units=0))
        self.open(path)
        yield self.shot("unit", SMALL)
        window.pages.unit.give_up.click()
        bad = self.folder / "letter.dxf"
        bad.write_text("Dear fabricator")
        self.open(bad)
        yield self.shot("bad-file", SMALL)
        window.question.drop_all()
        window.drop_sign.show_over("Add it to this job")
        window.drop_sign.aim(1000.0)
        yield self.shot("drop", SMALL)
        window.drop_sign.hide()

    def large(self) -> Iterator[Path]:
        window = self.window
        self.demo("sluice-sheet")
        window.show_page("part")
        yield self.shot("sheet-usual", USUAL)
        window.session.show_inches(True)
        window.show_theme("dark")
        yield self.shot("sheet-large-dark", LARGE)
        window.show_theme("light")
        window.session.show_inches(False)
        window.canvas.fly_to(*window.session.outcome.plan.cuts[0].pierce, scale=36.0)  # type: ignore[union-attr]
        yield self.shot("near", SMALL)
        window.canvas.fit()

    def shop(self) -> Iterator[Path]:
        window = self.window
        window.shop_pages.show_machine("contact-float-inch")
        yield self.shot("machine", SMALL)
        window.shop_pages.show_chart("air-50a")
        yield self.shot("chart", SMALL)
        window.shop_pages.show_first_run()
        yield self.shot("first-run", SMALL)
        window.shop_pages.show_guide("first-cut")
        yield self.shot("guide", SMALL)
        window.shop_pages.leave()

    # --- doing it -----------------------------------------------------------------------------------------

    def demo(self, name: str) -> None:
        from kerfproof_resources import drawing_bytes

        path = self.folder / f"{name}.dxf"
        path.write_bytes(drawing_bytes(name))
        self.open(path)

    def open(self, path: Path) -> None:
        self.window.session.open([path])
        self.settle()

    def settle(self) -> None:
        self.wait(lambda: not self.window.worker.is_busy and self.window.session.next_task() is None)

    def wait(self, until: Callable[[], bool]) -> None:
        from PySide6.QtCore import QEventLoop, QTimer

        loop, timer = QEventLoop(), QTimer()
        timer.timeout.connect(lambda: loop.quit() if until() else None)
        timer.start(10)
        loop.exec()
        self.app.processEvents()

    def shot(self, name: str, size: tuple[int, int]) -> Path:
        self.window.resize(*size)
        self.app.processEvents()
        if not self.window.session.job or self.window.canvas._fitted:
            self.window.canvas.fit()
        self.app.processEvents()
        target = self.out / f"window-{name}.png"
        self.window.grab().save(str(target))
        return target


def faulty(units: int = 4) -> bytes:
    """Return a cover with a hole too small, a chain that does not close and a note."""

    def draw(space: Modelspace) -> None:
        space.add_lwpolyline([(0, 0), (140, 0), (140, 90), (60, 90), (0, 60)], close=True)
        space.add_circle((30, 30), 1.0)
        space.add_circle((100, 45), 20.0)
        space.add_line((20, 50), (45, 62))
        space.add_line((45, 62), (52, 50))

    return _dxf(draw, units)


def open_outline() -> bytes:
    """Return a cover whose only outline has a gap."""
    return _dxf(lambda space: space.add_lwpolyline([(1, 0), (140, 0), (140, 90), (60, 90), (0, 60), (0, 0)]))


def _dxf(draw: Callable[[Modelspace], object], units: int = 4) -> bytes:
    import io

    import ezdxf

    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = units
    draw(doc.modelspace())
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


__all__ = ["render"]
