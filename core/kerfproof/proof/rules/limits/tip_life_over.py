"""More starts than a tip lasts.

Finds: more light-ups between two stops for a new tip than the starts per tip of the chart.

Matters: a worn tip widens the kerf and misses starts; somebody should stand by with new ones.

Bad::

    Process: short tips
    Given: burning
    M5
    M3

Good::

    Given: burning
    M5
    M3

Do: have tips at hand, and change them between parts.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.path.tip_change_inside_part import tip_changes


def _judge(e: Evidence) -> Iterator[Hit]:
    per_tip = e.process.starts_per_tip if e.process is not None else 0
    if not 0 < per_tip < len(e.lights):
        return
    since = np.split(e.lights, np.searchsorted(e.lights, tip_changes(e)))
    worn = next((starts for starts in since if len(starts) > per_tip), None)
    if worn is not None:
        tips = int(np.ceil(len(e.lights) / per_tip))
        message = f"{len(worn)} starts, a tip lasts about {per_tip}: {tips} tips"
        yield at_row(e, int(worn[per_tip]), message, "change tips between parts")


RULE = Rule("tip-life-over", Severity.NOTE, _judge)
