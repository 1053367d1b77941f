"""What holds for every page: nothing is clipped, everything has a name, every text can be put into another language."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import PySide6
import pytest
from PySide6.QtCore import QAbstractListModel, QCoreApplication, Qt, QTranslator
from PySide6.QtGui import QAccessible, QAction, QFontMetrics, QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QCheckBox,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QScrollBar,
    QTabBar,
    QTextEdit,
    QToolButton,
    QWidget,
)

import kerfproof
import kerfproof_app.window
from kerfproof import api
from kerfproof.coupon.piece import kinds
from kerfproof.sentence import mm, say
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.widgets.core_words import LEADS, PIECES, SHAPES, STAGES
from kerfproof_app.window.widgets.page_parts import NameLabel
from support.app import panels
from support.app.at_the_window import open_demo, settle
from support.shop import shop

SMALL, FULL, LARGE = (1280, 720), (1920, 1080), (3840, 2160)
SMALLER = 2
"""Pixels by which a text may be wider than its widget's inside: hints of styles are rounded up."""


def go(window, page: str) -> None:
    """Show a page by its name."""
    if page in ("part", "safe"):
        window.show_page(page)
    elif page in ("settings", "cuts", "program"):
        window.show_page("torch")
        window.pages.torch_tabs.setCurrentIndex(("settings", "cuts", "program").index(page))
    elif page == "start":
        window.files.close_work()
        window.question.drop_all()
        window.refresh()
    elif page.startswith("first run"):
        window.shop_pages.show_first_run()
        made = window.shop_pages.made["first_run"]
        made.pages.setCurrentIndex(int(page[-1]))
        made._refresh()
    else:
        {
            "machine": lambda: window.shop_pages.show_machine("contact-float-mm"),
            "chart": lambda: window.shop_pages.show_chart("air-50a"),
            "guide": lambda: window.shop_pages.show_guide("first-cut"),
            "test pieces": window.shop_pages.show_coupon,
            "pierces": window.shop_pages.show_pierces,
        }[page]()
    QCoreApplication.processEvents()


PAGES = (
    "part", "settings", "cuts", "program", "safe", "machine", "chart", "guide", "test pieces", "pierces",
    *(f"first run {k}" for k in range(5)), "start",
)  # fmt: skip


def seen(window, kind=QWidget):
    """Return the visible widgets that are not the inside of another one."""
    inside = (QScrollBar, QTabBar, QHeaderView)
    for widget in window.findChildren(kind):
        parent = widget.parentWidget()
        own = not isinstance(widget, inside) and not widget.objectName().startswith("qt_")
        if widget.isVisible() and own and not isinstance(parent, (QComboBox, QAbstractSpinBox, QScrollBar, QTabBar)):
            yield widget


def clipped(widget) -> bool:
    """Return whether a text has less room than it needs."""
    if isinstance(widget, QLabel):
        if not widget.text() or isinstance(widget, NameLabel):
            return False
        if widget.wordWrap():
            return widget.heightForWidth(widget.width()) > widget.height() + SMALLER
        return widget.minimumSizeHint().width() > widget.width() + SMALLER
    if isinstance(widget, (QPushButton, QCheckBox, QToolButton)):
        if widget.objectName() == "card" and not widget.text():
            return False  # paints its own text with dots where it is too long
        lines = widget.text().replace("&", "").split("\n")
        wide = max(QFontMetrics(widget.font()).horizontalAdvance(line) for line in lines)
        high = QFontMetrics(widget.font()).height() * len(lines)
        return wide > widget.width() + SMALLER or high > widget.height() + SMALLER
    if isinstance(widget, QComboBox):
        wide = QFontMetrics(widget.font()).horizontalAdvance(widget.currentText())
        return wide > widget.width() - 24 + SMALLER
    if isinstance(widget, QLineEdit):
        text = widget.text() or widget.placeholderText()
        return QFontMetrics(widget.font()).horizontalAdvance(text) > widget.width() - 8 or widget.height() < 18
    return False


@pytest.mark.parametrize("size", [SMALL, FULL, LARGE], ids=["1280x720", "1920x1080", "3840x2160"])
def test_no_text_of_any_page_is_clipped(qtbot, window, size):
    window.resize(*size)
    open_demo(qtbot, window)
    for inches in (False, True) if size is SMALL else (False,):
        window.session.show_inches(inches)
        for page in PAGES[: -1 if size is SMALL and not inches else None]:
            go(window, page)
            assert (window.width(), window.height()) == size, page
            bad = [f"{type(w).__name__} {_text(w)!r} {w.size().toTuple()}" for w in seen(window) if clipped(w)]
            assert bad == [], page


def _text(widget) -> str:
    for name in ("text", "currentText"):
        if hasattr(widget, name):
            return str(getattr(widget, name)())
    return widget.accessibleName()


def test_names_of_any_length_leave_their_page_as_wide_as_it_is(qtbot, window, tmp_path):
    def draw(space):
        long = {"layer": "A_LAYER_WHOSE_NAME_HAS_NO_BLANK_AND_GOES_ON_AND_ON_2024"}
        space.add_lwpolyline([(0, 0), (90, 0), (90, 60)], close=True, dxfattribs=long)

    path = tmp_path / f"{'a-file-with-a-name-of-some-length-' * 3}.dxf"
    path.write_bytes(shop.dxf(draw))
    window.files.open([path])
    settle(qtbot, window)
    go(window, "part")
    area = window.pages.part.findChild(QScrollArea)
    assert area.widget().width() <= area.viewport().width()
    assert [w for w in seen(window) if clipped(w)] == []
    assert window.pages.part.boxes[0].title.toolTip() == path.name


def test_the_check_itself_sees_what_is_clipped(qtbot):
    narrow = [
        QLabel("a sentence too long for it"),
        QPushButton("Copy to mine"),
        QComboBox(),
        QLineEdit("1200 mm x 600"),
    ]
    narrow[2].addItem("the best that fits")
    wrapped = QLabel("a sentence that needs three lines where there is one " * 3)
    wrapped.setWordWrap(True)
    for widget in (*narrow, wrapped):
        qtbot.addWidget(widget)
        widget.resize(60, 20)
        assert clipped(widget), _text(widget)
        widget.resize(600, 120)
        assert not clipped(widget), _text(widget)


WORKED = (
    QAbstractButton, QLineEdit, QComboBox, QAbstractSpinBox, QAbstractItemView, QTextEdit, QPlainTextEdit,
    QAbstractSlider,
)  # fmt: skip


def test_everything_that_can_be_worked_has_a_name_for_screen_readers(qtbot, window):
    open_demo(qtbot, window)
    checked = 0
    for page in PAGES:
        go(window, page)
        if page == "test pieces":
            made = window.shop_pages.made["coupon"]
            made.make_piece()
            settle(qtbot, window)
            made.write_piece(Path(window.session.memory.folder) / "kerf.nc")
        for widget in seen(window):
            if isinstance(widget, WORKED):
                checked += 1
                name = QAccessible.queryAccessibleInterface(widget).text(QAccessible.Text.Name)
                assert re.search(r"\w", name), f"{page}: {widget!r} in {widget.parent()!r} {_text(widget)!r}"
    assert checked > 250


@pytest.fixture(scope="module")
def extracted(tmp_path_factory):
    """Return the texts of the window, with their contexts, as the tool for translators finds them in its modules."""
    tool = Path(PySide6.__file__).parent / "lupdate"
    if not tool.is_file():
        pytest.skip("this Qt comes without its tool for translators")
    target = tmp_path_factory.mktemp("words") / "window.ts"
    modules = sorted(str(path) for path in Path(kerfproof_app.window.__file__).parent.rglob("*.py"))
    subprocess.run([tool, "-silent", *modules, "-ts", target], check=True, timeout=60, capture_output=True)
    contexts = ElementTree.parse(target).getroot().iter("context")
    found = {(c.findtext("name") or "", m.findtext("source")) for c in contexts for m in c.iter("message")}
    assert len(found) > 500
    return found


class Marked(QTranslator):
    """Puts every text that translators get to see between quotes of another language."""

    def __init__(self, known):
        super().__init__()
        self.known = known

    def translate(self, context, text, hint=None, number=-1):
        return f"«{text}»" if (context or "", text) in self.known else ""

    def isEmpty(self):
        return False


DATA = re.compile(r"[\W\d_]*|.*\.(dxf|nc|toml)|\+?90°|(contact|pilot|air)-[\w-]+.*|.*(FINE|Kerfproof).*", re.DOTALL)


@pytest.fixture
def marked(qtbot, extracted):
    translator = Marked(extracted)
    QCoreApplication.installTranslator(translator)
    yield translator
    QCoreApplication.removeTranslator(translator)


@pytest.fixture
def foreign(marked, window):
    return window


def test_every_command_is_in_the_language_of_the_translator(foreign):
    words = [a.text() for a in foreign.findChildren(QAction) if a.text() and not a.isSeparator()]
    assert len(words) > 60
    assert [w for w in words if "«" not in w] == []


def test_no_two_commands_share_their_keys_nor_two_lines_of_a_menu_their_letter(window):
    keys = [k.toString() for a in window.findChildren(QAction) for k in a.shortcuts() if not k.isEmpty()]
    assert sorted(keys) == sorted(set(keys))
    for menu in window.findChildren(QMenu):
        letters = [found[1].lower() for a in menu.actions() if (found := re.search(r"&(\w)", a.text()))]
        assert sorted(letters) == sorted(set(letters)), menu.title()


CHROME = (QPushButton, QCheckBox, QToolButton)


def test_buttons_fields_and_captions_are_in_the_language_of_the_translator(qtbot, foreign):
    open_demo(qtbot, foreign)
    plain = set()
    for page in PAGES:
        if page in ("machine", "chart", "guide", "program", "safe"):
            continue  # mostly text of files and findings, which is data here
        go(foreign, page)
        for widget in seen(foreign):
            if isinstance(widget.parent(), KeyField):
                continue  # keys of files, and what the files' models say of them
            texts = [widget.accessibleName(), widget.toolTip()]
            if isinstance(widget, CHROME):
                texts.append(widget.text())
            if isinstance(widget, QComboBox):
                texts += [widget.itemText(k) for k in range(widget.count())]
            if isinstance(widget, QLabel) and widget.buddy() is not None:
                texts.append(widget.text())
            plain |= {t for t in texts if t and "«" not in t and not t.startswith("<")}
    assert {t for t in plain if not DATA.fullmatch(t)} - known_data(foreign) == set()


def test_the_single_words_of_the_core_that_the_window_shows_are_known_to_translators(extracted):
    core, app = Path(kerfproof.__path__[0]), Path(kerfproof_app.__path__[0])
    sources = {path: path.read_text() for folder in (core, app) for path in sorted(folder.rglob("*.py"))}
    stages = {name for text in sources.values() for name in re.findall(r"watch\(\s*\"([^\"]+)\"", text)}
    bench = ast.parse(sources[core / "plan" / "lead_bench.py"])
    verdicts = next(n for n in ast.walk(bench) if isinstance(n, ast.FunctionDef) and n.name == "_said")
    said = {n.value for n in ast.walk(verdicts) if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    shapes = api.lead_shapes()
    assert len(stages) >= 12 and {"clear", "over a void"} <= said and shapes
    titles = {getattr(kind.title, "template", kind.title) for kind in kinds().values()}
    names = {name.replace("_", " ") for name in shapes}
    snaps = {snap for snap in re.findall(r"Snap\(\"(\w+)\"", sources[core / "plan" / "lead_bench.py"])}
    wanted = stages | said | set(shapes.values()) | names | titles | snaps
    assert {("", text) for text in wanted} <= extracted
    assert {("", text) for text in wanted} >= {("", t) for t in (*LEADS, *SHAPES, *STAGES, *PIECES)}, "nothing too much"


def known_data(window) -> set[str]:
    """Return words of files: they are as their writers wrote them."""
    materials = window.pages.torch.material.box
    layers = {name for _kind, name in window.pages.part.table.boxes}
    return {materials.itemText(k) for k in range(materials.count())} | layers


SHOWN = frozenset(
    {
        "QLabel", "QPushButton", "QCheckBox", "QToolButton", "QRadioButton", "QGroupBox", "setText", "setToolTip",
        "setStatusTip", "setAccessibleName", "setAccessibleDescription", "setPlaceholderText", "setWindowTitle",
        "setSpecialValueText", "addTab", "addMenu", "addAction", "showMessage", "QuantityField", "ChoiceField",
        "SizeField", "CountField", "TextField", "TickField", "LabeledEditor", "TextLabel", "line_label", "heading",
        "push_button", "say", "ask", "Fix", "change", "edit",
    }
)  # fmt: skip
"""Calls whose texts a person reads."""


def test_no_module_of_the_window_shows_a_sentence_that_no_translator_is_asked_for():
    folder = Path(kerfproof_app.window.__file__).parent
    bare = []
    for path in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and _name(node.func) in SHOWN:
                for argument in [*node.args, *(k.value for k in node.keywords if k.arg not in ("weight", "look"))]:
                    text = _words(argument)
                    if re.search(r"[A-Za-z]{3,}", text) and text != "Kerfproof":
                        bare.append(f"{path.name}:{argument.lineno}: {text}")
    assert bare == []


def _name(func: ast.expr) -> str:
    return func.attr if isinstance(func, ast.Attribute) else func.id if isinstance(func, ast.Name) else ""


def _words(node: ast.expr) -> str:
    """Return the words of a text that stands there by itself, or as a part of an f-string."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return " ".join(_words(part) for part in node.values)
    return ""


def test_where_inches_are_shown_nothing_is_told_in_mm(qtbot, window):
    path = window.session.memory.folder / "plate.dxf"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(panels.plate_with_holes(4, 20))
    window.files.open([path])
    settle(qtbot, window)
    small = next(k for k, f in enumerate(window.session.findings) if f.rule == "hole-to-drill")
    assert " mm" in window.session.findings[small].sentence()
    window.session.say(say("a slot of {wide}", wide=mm(25.4)))
    window.commands["switch_unit"].trigger()
    told: set[str] = set()
    for page in ("part", "settings", "cuts", "safe", "pierces", "test pieces"):
        go(window, page)
        window.session.select(features=(window.session.outcome.plan.cuts[0].feature,), finding=small)
        for widget in seen(window):
            told |= set(said_by(widget))
    assert len(told) > 150 and "a slot of 1 in" in told
    examples = {text for text in told if "or example" in text}
    assert sorted(text for text in told - examples if re.search(r"\d\s?mm\b", text)) == []


def said_by(widget) -> list[str]:
    """Return all that a widget says."""
    texts = [widget.toolTip(), widget.accessibleName()]
    if isinstance(widget, (QLabel, QAbstractButton)):
        texts.append(widget.text())
    if isinstance(widget, QComboBox):
        texts += [widget.itemText(k) for k in range(widget.count())]
    if isinstance(widget, QLineEdit):
        texts += [widget.text(), widget.placeholderText()]
    if isinstance(widget, QAbstractItemView) and widget.model() is not None:
        model = widget.model()
        columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount()
        cells = [model.index(row, column) for row in range(model.rowCount()) for column in range(columns)]
        roles = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole)
        texts += [str(model.data(cell, role) or "") for cell in cells for role in roles]
    return [text for text in texts if text]


def test_state_units_and_theme_of_the_window_are_remembered(qtbot, window):
    from kerfproof_app.shop.preferences import Memory
    from kerfproof_app.window.main_window import MainWindow
    from kerfproof_app.work.session import Session

    open_demo(qtbot, window)
    window.resize(1500, 900)
    QCoreApplication.processEvents()
    shape = window.saveGeometry()
    window.show_theme("dark")
    window.commands["switch_unit"].trigger()
    window.show_page("torch")
    window.commands["bottom"].setChecked(False)
    window.area.setSizes([900, 600])
    right = window.area.sizes()[1]
    window.files.closing = True
    window.close()
    again = MainWindow(Session(Memory(window.session.memory.folder)))
    qtbot.addWidget(again)
    with qtbot.waitExposed(again):
        again.show()
    assert again.session.memory.get("geometry", "") == bytes(shape.toBase64().data()).decode()
    assert again.dark
    assert again.session.shown_inches
    assert again.area.side.currentWidget() is again.pages.torch_tabs
    assert again.area.trace.isHidden()
    again.resize(1500, 900)
    open_demo(qtbot, again)
    QCoreApplication.processEvents()
    assert again.area.sizes()[1] == pytest.approx(right, abs=5)
    again.files.closing = True
    again.close()


def test_high_density_screens_get_a_picture_of_twice_the_pixels(qtbot, window, monkeypatch):
    open_demo(qtbot, window)
    canvas = window.canvas
    plain = canvas.still().copy()
    monkeypatch.setattr(canvas, "devicePixelRatioF", lambda: 2.0)
    canvas.repaint_all()
    sharp = canvas.still()
    assert sharp.size() == canvas.size() * 2
    smooth = Qt.TransformationMode.SmoothTransformation
    small = sharp.scaled(plain.size(), Qt.AspectRatioMode.IgnoreAspectRatio, smooth)
    apart = np.abs(pixels(small).astype(int) - pixels(plain).astype(int))
    assert apart.mean() < 4.0, "the same picture, only finer"


def pixels(image):
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)[..., :3]
