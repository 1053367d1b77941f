"""What a person sets in place of the chart: anything that may be meant, nothing that no table can cut with."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job, LeadChoice
from kerfproof.job.process import MOST_DELAY_S
from kerfproof.job.resolved_job import resolve
from kerfproof.shop.shop import Shop
from support.shop import shop

JOB = Job(drawings=(), machine="m", chart="c", material="mild steel", thickness=3.0)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"kerf": 508.0}, "a kerf of 508 mm"),
        ({"kerf": 0.01}, "a kerf of 0.01 mm"),
        ({"feed_mm_min": 1e9}, "1000000000 mm/min is more than contact-float-mm can move (7500 mm/min)"),
        ({"pierce_delay_s": 500.0}, "a pierce delay of 500 s"),
        ({"leads": LeadChoice(radius=900.0)}, "a lead of 900 mm"),
    ],
)
def test_a_slip_of_the_unit_is_refused_with_what_is_usual(changes, word):
    with pytest.raises(KerfproofError) as refused:
        resolve(replace(JOB, **changes), Shop(shop.built_in(), shop.chart())).check()
    assert word in str(refused.value)


def test_values_far_off_that_a_table_can_cut_with_are_taken():
    own = replace(JOB, kerf=4.0, feed_mm_min=7500.0, pierce_delay_s=MOST_DELAY_S)
    resolved = resolve(own, Shop(shop.built_in(), shop.chart()))
    resolved.check()
    process = resolved.process
    assert (process.kerf, process.feed_mm_min, process.pierce_delay_s) == (4.0, 7500.0, MOST_DELAY_S)
