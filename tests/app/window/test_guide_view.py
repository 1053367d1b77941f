from __future__ import annotations

import re

import pytest
from PySide6.QtCore import QUrl
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMainWindow

from kerfproof.report.data.rule_pages import rules
from kerfproof_app.window.shop.guide_text import ORDER, page_names, page_text, page_title
from kerfproof_app.window.shop.guide_view import GuideView


@pytest.fixture
def guide(qtbot) -> GuideView:
    made = GuideView()
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show()
    return made


def test_all_pages_of_the_order_are_there() -> None:
    assert page_names() == ORDER
    titles = [page_title(name) for name in page_names()]
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("name", ORDER)
def test_each_page_is_shown_with_its_title(guide: GuideView, name: str) -> None:
    guide.show_page(name)
    assert guide.text.toPlainText().startswith(page_title(name))
    assert guide.contents.currentItem().text() == page_title(name)
    assert not re.search(r"\*\*|\|---", guide.text.toPlainText())


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("cautions", ("licensed", "29 CFR 1910.133", "29 CFR 1910.252", "Shade 8", "emergency stop", "chromium")),
        ("noise", ("licensed", "without a source", "Work lead", "star point")),
        ("float", ("slip of paper", "up", "hard stop", "holds for one feed")),
        ("machine", ("Light delay", "not latched", "copy to mine")),
        ("leads", ("crater", "scrap", "drill")),
        ("findings", ("error", "warning", "note", "undo")),
        ("first-cut", ("frame", "dry run", "PROVEN")),
        ("about", ("licensed people", "Nothing is sent anywhere")),
    ],
)
def test_each_page_says_what_it_must(page: str, words: tuple[str, ...]) -> None:
    text = " ".join(page_text(page).split())
    for word in words:
        assert word in text


WORDS = (
    "kerf", "pierce", "lead-in", "lead-out", "over-burn", "touch-off", "float", "z-zero", "preload", "travel-height",
    "feed", "dwell", "slug", "part", "sheet",
)  # fmt: skip


def test_each_word_is_one_sentence_with_its_picture() -> None:
    blocks = page_text("words").split("\n## ")[1:]
    assert len(blocks) == len(WORDS)
    for word, block in zip(WORDS, blocks, strict=True):
        title, sentence, picture = block.strip().split("\n\n")
        assert title.lower().replace(" ", "-") == word
        assert sentence.count(".") == 1 and sentence.endswith(".")
        assert title.lower() in sentence.lower()
        assert picture == f"![{title}](../pictures/words/{word}.png)"


def test_the_pictures_of_the_words_are_found_and_shown(guide: GuideView) -> None:
    guide.show_page("words")
    document = guide.text.document()
    for word in WORDS:
        image = document.resource(document.ResourceType.ImageResource.value, QUrl(f"../pictures/words/{word}.png"))
        assert image is not None, word
    assert guide.text.document().size().height() > 15 * 130  # all stand there in their own height


def test_a_number_without_a_source_says_so() -> None:
    assert "common practice, no source" in page_text("float")
    assert "common practice, without a source" in page_text("noise")


def test_every_rule_has_its_page(guide: GuideView) -> None:
    for rule in rules():
        guide.show_rule(rule.name)
        text = guide.text.toPlainText()
        assert rule.title.rstrip(".") in text
        assert "Good:" in text, rule.name
        assert "::" not in text, rule.name


def test_what_is_no_rule_is_explained_by_the_page_on_findings(guide: GuideView) -> None:
    guide.show_rule("open-chain")
    assert guide.page == "findings"


def test_the_window_s_commands_stand_among_the_shortcuts(qtbot) -> None:
    window = QMainWindow()
    qtbot.addWidget(window)
    action = QAction("&Export the program", window)
    action.setShortcut("Ctrl+E")
    guide = GuideView()
    window.setCentralWidget(guide)
    guide.show_page("shortcuts")
    text = guide.text.toPlainText()
    assert "Export the program" in text
    assert "Ctrl+E" in text
    assert "play and pause" in text


def test_the_about_page_holds_the_cautions(guide: GuideView) -> None:
    guide.show_page("about")
    assert "Shade 8 or darker" in guide.text.toPlainText()


def test_a_page_that_is_not_there_says_so(guide: GuideView) -> None:
    guide.show_page("nowhere")
    assert "no page" in guide.text.toPlainText()
