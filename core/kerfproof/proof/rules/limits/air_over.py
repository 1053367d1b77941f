"""The torch takes more air than tank and compressor give.

Finds: a cut in which the tank sinks under the least pressure that the torch needs, by the flow, the compressor and the
tank of the machine file. Nothing is judged where one of them is not known. Where the air lasts only because the
operator rests at stops as long as their comments say, that is told.

Matters: with too little air the tip double-arcs and is gone in seconds.

Bad::

    Machine: contact-float air_flow_l_min=150 compressor_l_min=60 tank_l=24 tank_bar=8 air_least_bar=5.5
    Given: burning at 10 50
    G1 X110 F100
    M5
    G4 P0.3
    G0 Z25
    M2

Good::

    Program: bad
    G1 X110 F100 -> G1 X110 F2200

Do: have rests written between cuts (the job's `rests`), or use a larger compressor.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.gcode.load import load_of, resting_words, stated_rests
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import Phrase, option, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.runs or e.machine.air_flow_l_min is None:
        return
    amps = None if e.process is None else e.process.amps
    if load_of(e.trace, e.machine, amps, e.control, rested=False).tank_row is None:
        return
    load = load_of(e.trace, e.machine, amps, e.control)
    if load.tank_row is None or load.tank_bar is None:
        rests = stated_rests(e.trace)
        advice: Phrase = say(
            "wait that long, or have the program wait by itself ({rests} dwell)", rests=option("rests")
        )
        yield at_row(e, rests[0][0], f"the air lasts {resting_words(rests)}", advice)
        return
    low = f"the tank sinks to {load.tank_bar:.1f} bar, the torch needs {e.machine.air_least_bar:.1f}"
    alone = load.longest_air_s is not None and load.longest_s + e.machine.air_postflow_s > load.longest_air_s + 1e-6
    advice = "a cut this long needs more air than the tank holds" if alone else "rests between cuts, or more air"
    yield at_row(e, load.tank_row, low, advice)


RULE = Rule("air-over", Severity.WARNING, _judge)
