"""The guide in the window: its pages at the left, the text at the right; also the pages of the rules."""

from __future__ import annotations

import html

from PySide6.QtCore import QEvent
from PySide6.QtGui import QAction, QKeySequence, QShowEvent
from PySide6.QtWidgets import QTextBrowser, QWidget

from kerfproof.errors import KerfproofError
from kerfproof.report.data.rule_pages import RulePage, given_lines, rules
from kerfproof_app.window.shop.guide_text import page_names, page_text, page_title
from kerfproof_app.window.widgets.lists import KeyList
from kerfproof_app.window.widgets.page_parts import row_layout
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_resources import guide_folder


class GuideView(QWidget):
    """Reads nothing but its own pages. `show_page` and `show_rule` open one; links inside pages work."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Guide"))
        self.contents = KeyList(self.tr("Pages of the guide"))
        self.contents.setMaximumWidth(220)
        self.contents.setSpacing(2)
        for name in page_names():
            self.contents.add(name, page_title(name))
        self.text = QTextBrowser()
        self.text.setOpenLinks(False)
        self.text.setSearchPaths([guide_folder()])  # pictures stand beside the pages
        self.text.setAccessibleName(self.tr("Page"))
        self.text.document().setDocumentMargin(18)
        row_layout(self.contents, (self.text, 1), parent=self, margins=(0, 0, 0, 0), spacing=0)
        self.page = ""
        self.contents.picked.connect(self.show_page)
        self.show_page(page_names()[0])

    def show_page(self, name: str) -> None:
        """Show a page of the guide."""
        try:
            text = page_text(name)
        except KerfproofError as error:
            self._show("", f"{error}")
            return
        if name == "shortcuts":
            text = self._with_commands(text)
        if name == "about":  # who looks there sees the cautions, too
            text = f"{text}\n#{page_text('cautions')}"
        self._show(name, text)
        self.contents.mark(name)

    def show_rule(self, rule: str) -> None:
        """Show the page of a rule; what is no rule on programs is explained by the page on findings."""
        page = next((page for page in rules() if page.name == rule), None)
        if page is None:
            self.show_page("findings")
            return
        self.contents.setCurrentRow(-1)
        self._show(f"rule:{rule}", _rule_markdown(page))

    def _show(self, name: str, text: str) -> None:
        self.page = name
        link = tones_of(self)["lead_out"].name()
        self.text.document().setDefaultStyleSheet(f"a {{ color: {link}; }}")
        self.text.setMarkdown(text)
        self.text.moveCursor(self.text.textCursor().MoveOperation.Start)

    def changeEvent(self, event: QEvent) -> None:
        """Follow another theme."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "page") and self.page and ":" not in self.page:
            self.show_page(self.page)

    def showEvent(self, event: QShowEvent) -> None:
        """List the window's commands anew: menus may have been made since."""
        super().showEvent(event)
        if self.page == "shortcuts":
            self.show_page("shortcuts")

    def _with_commands(self, text: str) -> str:
        """Return the page on shortcuts with the window's own commands in a table before it."""
        rows = []
        for action in self.window().findChildren(QAction):
            keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            words = action.text().replace("&", "").rstrip(".…")
            if keys and words and (words, keys) not in rows:
                rows.append((words, keys))
        if not rows:
            return text.replace("The window's commands stand in the table above. Besides them:\n", "")
        table = "\n".join(f"| {html.escape(words)} | {html.escape(keys)} |" for words, keys in rows)
        heading, _, rest = text.partition("\n")
        return f"{heading}\n\n| {self.tr('command')} | {self.tr('keys')} |\n|---|---|\n{table}\n{rest}"


def _rule_markdown(page: RulePage) -> str:
    """Return a rule's page as Markdown: its examples stand indented and so become code."""
    _title, _, rest = page.page.partition("\n")
    parts = []
    for line in [*rest.splitlines(), "", *given_lines(page.page).splitlines()]:
        word, colon, text = line.partition(":")
        if colon and not line.startswith(" ") and word.isalpha():
            parts.append(f"**{word}:** {text.lstrip(':').strip()}".rstrip())
        else:
            parts.append(line)
    return f"# {page.title.rstrip('.')}\n\n*{page.severity.value}, {page.name}*\n" + "\n".join(parts)
