from __future__ import annotations

import pytest

import kerfproof_resources as resources


def test_the_built_in_machines_and_charts_are_listed_in_order() -> None:
    assert resources.machine_names() == ("contact-float-inch", "contact-float-mm", "contact-skip-mm", "pilot-ohmic-mm")
    assert resources.chart_names() == ("air-50a", "air-50a-pilot")


@pytest.mark.parametrize("read", [resources.machine_text, resources.chart_text, resources.guide_text])
def test_a_name_that_is_none_of_ours_is_refused(read: object) -> None:
    with pytest.raises(KeyError):
        read("../__init__")  # type: ignore[operator]


def test_every_text_is_plain_ascii_with_line_feeds() -> None:
    texts = [resources.machine_text(n) for n in resources.machine_names()]
    texts += [resources.chart_text(n) for n in resources.chart_names()]
    assert len(texts) == 6
    assert all(text.isascii() and "\r" not in text and text.endswith("\n") for text in texts)
