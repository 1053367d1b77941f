from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import kerfproof_resources
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.machine_findings import machine_findings
from kerfproof.shop.profile import TouchOff

GOOD = parse_machine(kerfproof_resources.machine_text("contact-float-mm"), "good.toml")


@pytest.mark.parametrize("name", kerfproof_resources.machine_names())
def test_no_built_in_machine_is_warned_of(name: str) -> None:
    assert machine_findings(parse_machine(kerfproof_resources.machine_text(name), name)) == ()


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"light_delay_s": 0.1}, "machine-light-delay-short"),
        ({"touch_slow_mm_min": 200.0}, "machine-float-at-another-feed"),
        ({"preload": 0.2}, "machine-preload-small"),
        ({"touch_off": TouchOff.NONE, "preload": 0.0}, "machine-needs-flat-plate"),
        ({"retouch_distance": 50.0}, "machine-retouch-left-out"),
        ({"path_tolerance": 0.5}, "machine-corners-rounded"),
        ({"rise_feed_mm_min": 200.0}, "machine-rise-feed-odd"),
        ({"acceleration_mm_s2": 4.0}, "machine-acceleration-odd"),
    ],
)
def test_each_doubt_is_one_warning_with_advice(changes: dict[str, Any], rule: str) -> None:
    findings = machine_findings(replace(GOOD, **changes))
    assert [finding.rule for finding in findings] == [rule]
    assert findings[0].advice
