"""The whole proof: what it says of correct programs, of faults planted in them, and of programs by others."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kerfproof.cut_plan import Cut
from kerfproof.errors import Cancelled, Severity
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.dialects.skip import DIALECT as SKIP
from kerfproof.gcode.writer.writer import write
from kerfproof.job.job import Mode
from kerfproof.proof.evidence.evidence import Against, Evidence, gather
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.table import other_tables, scenario
from kerfproof.proof.table.play import play
from kerfproof.proof.table.shorten import Short, shorten
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine
from support.shop.known_plate import MACHINE, MACHINES, PLATE, PROCESS, cuts, drawn, plan, program

CONTROLS = load_folder("kerfproof.gcode.dialects", "DIALECT")


def proof_of(text: str, machine=MACHINE, control=DIALECT, mode: str = "cut", with_drawing: bool = True) -> Proof:
    contours = drawn() if with_drawing else None
    return prove(
        text, Against(control=control, machine=machine, process=PROCESS, drawn=contours, plate=PLATE, mode=mode)
    )


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity is Severity.ERROR}


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("dialect", CONTROLS)
@pytest.mark.parametrize("name", MACHINES)
def test_our_own_program_is_proven_without_a_warning(name: str, dialect: str, inches: bool):
    machine = replace(MACHINES[name], inches=inches)
    proof = proof_of(program(CONTROLS[dialect], machine), machine, CONTROLS[dialect])
    assert proof.verdict == "PROVEN", [f.sentence() for f in proof.findings]
    assert proof.edge_deviation < 2e-4
    assert all(f.severity is Severity.NOTE for f in proof.findings)


@pytest.mark.parametrize("word", ["M4", "M03"])
def test_the_on_word_is_that_of_the_machine_and_no_other(word: str):
    machine = replace(MACHINE, torch_on=word)
    text = program(DIALECT, machine)
    assert proof_of(text, machine).verdict == "PROVEN"
    other = "M3" if word == "M4" else "M4"
    changed = text.replace(f"\n{word}\n", f"\n{other}\n")
    assert errors(proof_of(changed, machine)) == {"torch-word-differs"}


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME])
@pytest.mark.parametrize("name", MACHINES)
def test_a_raised_program_is_proven_raised(name: str, mode: Mode):
    text = write(plan(MACHINES[name], mode=mode), DIALECT).text
    proof = proof_of(text, MACHINES[name], mode=mode.value)
    assert proof.findings == () and proof.runs == ()


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME])
def test_machine_zero_of_an_unhomed_z_is_none_in_a_raised_program(mode: Mode):
    for name, homed in (("contact-float", False), ("contact-none", False), ("contact-float-homed", True)):
        text = write(plan(MACHINES[name], mode=mode), DIALECT).text
        proof = proof_of(text.replace("M5\n", "M5\nG53 G0 Z-2\n", 1), MACHINES[name], mode=mode.value)
        assert ("height-without-datum" in errors(proof)) is not homed


def test_a_cut_program_is_no_dry_run():
    assert "dry-run-not-dry" in errors(proof_of(program(DIALECT), mode="dry"))


PLANTED = [
    ("torch-left-on", "M5\nG4 P0.3\nG0 Z25\nM5\nG0 Z25\n", "G0 Z25\n"),
    ("stop-with-torch-on", "G2 X20 Y80.75", "M0\nG2 X20 Y80.75"),
    ("light-delay-short", "M3\nG4 P0.4\n", "M3\n"),
    ("no-pierce-delay", "G1 Z3 F900\nG4 P0.033\nG1 Z1.5 F900\n", "G1 Z1.5 F3000\n"),
    ("datum-not-float", "G92 Z-19.05", "G92 Z0"),
    ("datum-not-float", "G92 Z-19.05", "G92 Z19.05"),
    ("contact-start-off-plate", "G1 Z-1 F3000", "G1 Z0.5 F1000"),
    ("height-without-datum", "G0 X70 Y50\n", "G0 Z25\nG0 X70 Y50\n"),
    ("height-without-datum", "M5\nG17", "G53 G0 Z-2\nM5\nG17"),
    ("height-without-datum", "M2\n", "G53 G0 Z-1\nM2\n"),
    ("height-without-datum", "M2\n", "G28\nM2\n"),
    ("search-from-unknown-frame", "G0 X70 Y50\nG4 P0.2\nG92 Z0\n", "G0 X70 Y50\n"),
    ("rapid-with-torch-on", "G1 X19.25 Y80\n", "G0 X19.25 Y80\n"),
    ("touch-off-with-torch-on", "G38.2 Z-49.05", "M3\nG38.2 Z-49.05"),
    ("feed-missing", "F1320", "F0"),
    ("feed-left-from-height-move", " F1320", ""),
    ("plane-not-xy", "G17 G40", "G18 G40"),
    ("units-missing-or-changed", "G21\nG54\nG64 P0.05\nF6000\n(cut 1", "G20\nG54\nG64 P0.05\nF6000\n(cut 1"),
    ("unreadable-text", "G1 X120 Y80.75", "G1 X120 Q Y80.75"),
    ("datum-touches-xy", "G92 Z-19.05", "G92 X70 Z-19.05"),
    ("datum-touches-xy", "M5\nG17", "G92.3\nM5\nG17"),
    ("datum-touches-xy", "M5\nG17", "#5221=2\nM5\nG17"),
    ("datum-touches-xy", "M2\n", "#[5200+42]=2\nM2\n"),
    ("cut-height-out-of-band", "G1 Z1.5 F900", "G1 Z0.2 F900"),
    ("arc-radius-mismatch", "I4 J0", "I4.1 J0"),
    ("state-inherited", "G90 G94\n", "G94\n"),
    ("gouge", "G1 X120 Y80.75\n", "G1 X120 Y80.65\n"),
    ("metal-left", "G1 X120 Y80.75\n", "G1 X120 Y80.85\n"),
]


@pytest.mark.parametrize(("rule", "old", "new"), PLANTED)
def test_a_planted_fault_is_found_by_its_name(rule: str, old: str, new: str):
    text = program(DIALECT)
    assert old in text
    proof = proof_of(text.replace(old, new))
    assert rule in errors(proof)
    assert proof.verdict == "NOT PROVEN"


def test_a_mode_left_to_the_control_is_told_by_the_word_that_is_missing():
    for control, machine in ((DIALECT, MACHINE), (SKIP, MACHINES["contact-none"]), (COMPACT, MACHINE)):
        text = program(control, machine)
        for line, word in (("G54\n", "the work offset"), ("G40 ", "G40"), (" G94", "G94")):
            found = proof_of(text.replace(line, ""), machine, control).findings
            (told,) = [f for f in found if f.rule == "state-inherited"]
            assert told.severity is Severity.WARNING and told.advice == f"state {word} at the top"
    assert "state-inherited" in errors(proof_of(text.replace("G91.1\n", ""), machine, control))
    both = proof_of(program(DIALECT).replace("G54\n", "").replace("G21\n", ""))
    assert "state-inherited" in errors(both), "no end word restores the unit"
    other = replace(MACHINE, work_offset="G55")
    no_offset = program(DIALECT, other).replace("G55\n", "")
    assert "state-inherited" in errors(proof_of(no_offset, other)), "the end word selects G54, not the one of the zero"
    by_hand = program(SKIP, MACHINES["contact-none"]).replace(" G49", "")
    (told,) = [f for f in proof_of(by_hand, MACHINES["contact-none"], SKIP).findings if f.rule == "state-inherited"]
    assert told.advice == "state G49 at the top"
    assert errors(proof_of(program(DIALECT).replace(" G49", ""))) == set(), "its own datum takes any length away"
    text = program(DIALECT, replace(MACHINE, inches=True))
    at_once = text.replace("G17 G40 G49 G80\nG90 G94\nG20", "G20 G17 G40 G90 G94")
    assert at_once != text, "inches for a machine in millimetres, all modes on one line"
    assert "state-inherited" not in errors(proof_of(at_once))


def test_a_written_origin_is_told_by_line_and_parameter():
    text = program(DIALECT)
    cases = {"#5221=2": "G54 of X", "#5382=1": "G59.3 of Y", "#5220=2": "number", "#5213=0": "G92 offset of Z"}
    for setting, held in cases.items():
        proof = proof_of(text.replace("M2\n", f"{setting}\nM2\n"))
        told = next(f for f in proof.findings if f.rule == "datum-touches-xy")
        assert told.line == text.count("\n", 0, text.index("M2\n")) + 1
        assert setting in told.message and held in told.message
    assert "datum-touches-xy" not in errors(proof_of(text.replace("M2\n", "#5160=1\n#5391=1\nG92.3\nM2\n")))


def test_a_touch_off_taken_out_is_found():
    text = re.sub(r"G38\.2.*\n", "", program(COMPACT))
    assert "torch-on-without-touch-off" in errors(proof_of(text, control=COMPACT))


def test_a_note_on_one_table_hides_no_error_on_another():
    second = "G38.2 Z-49.05 F1000\nG4 P0.2\nG92 Z0\nG1 Z2.6296 F600\nG4 P0.1\nG38.2 Z-1.5 F150\n"
    text = program(COMPACT)
    assert second in text
    found = proof_of(text.replace(second, "G38.2 Z-58 F150\n"), control=COMPACT).findings
    told = [(f.severity.value, f.message[:15]) for f in found if f.rule == "touch-off-miss-unguarded"]
    assert told == [("note", "with a slat ins"), ("error", "with a false tr")]


WARNED = [
    ("raise-before-arc-out", "M5\nG4 P0.3\n", "M5\n"),
    ("program-end-missing", "M2\n", ""),
    # the end word of the program before has restored these (NISTIR 6556, 3.6.1), a stopped one has not
    ("state-inherited", "G90 G94\n", "G90\n"),
    ("state-inherited", "G54\n", ""),
    ("state-inherited", "G17 G40 G49", "G17 G49"),
    ("state-inherited", "G17 G40 G49", "G49"),
    ("path-mode-unstated", "G64 P0.05\n", ""),
    ("dwell-unit-doubt", "G4 P0.3\n", "G4 P300\n"),
]


@pytest.mark.parametrize(("rule", "old", "new"), WARNED)
def test_a_doubtful_habit_is_warned_of(rule: str, old: str, new: str):
    text = program(DIALECT)
    assert old in text
    found = {f.rule: f.severity for f in proof_of(text.replace(old, new)).findings}
    assert found.get(rule) is Severity.WARNING


def test_a_guard_left_out_is_found_on_every_control_that_could_have_one():
    first, second = program(NGC).split("(cut 2 of", 1)
    for one in (re.sub(r"#102=.*\n", "", first) + "(cut 2 of" + second,
                first + "(cut 2 of" + re.sub(r"#102=.*\n", "", second)):  # fmt: skip
        assert "touch-off-miss-unguarded" in errors(proof_of(one, control=NGC))


def test_a_program_that_never_guards_a_touch_off_is_told_once_what_it_would_not_notice():
    text = re.sub(r"#102=.*\n", "", program(NGC))
    proof = proof_of(text, control=NGC)
    (told,) = (f for f in proof.findings if f.rule == "touch-off-miss-unguarded")
    assert proof.ok and told.severity is Severity.WARNING
    assert "a stuck switch: nothing in the program notices it" in told.message, "the second touch is still there"


def test_a_datum_set_at_once_after_a_search_is_an_error_where_the_control_does_not_wait_for_its_end():
    def told(text: str, control: Dialect) -> set[Severity]:
        bare = re.sub(r"(?:G1 Z#5063 F60\n)?G4 P0.2\n(G92 Z-)", r"\1", text)
        assert bare != text
        return {f.severity for f in proof_of(bare, control=control).findings if f.rule == "datum-while-moving"}

    assert told(program(SKIP), SKIP) == {Severity.ERROR}
    assert told(program(DIALECT), DIALECT) == {Severity.WARNING}, "NISTIR 6556, A.1: the reader waits for the search"
    backs_off = replace(DIALECT, control_back_off=1.0)
    assert told(program(backs_off), backs_off) == {Severity.ERROR}


def test_the_stop_left_out_is_found_on_a_silent_control():
    text = program(SKIP)
    assert "M1\n" in text
    assert "touch-off-miss-unguarded" in errors(proof_of(text.replace("M1\n", ""), control=SKIP))


def test_a_program_that_stops_itself_is_not_proven_and_not_compared():
    text = program(DIALECT).replace("SQRT[0-2-#101]", "SQRT[0-90-#101]")
    proof = proof_of(text)
    assert "program-stops-itself" in errors(proof)
    assert "feature-not-cut" not in errors(proof)


def test_without_a_drawing_the_rules_still_hold():
    proof = proof_of(program(DIALECT), with_drawing=False)
    assert [f.rule for f in proof.findings] == ["not-compared"]
    assert proof.edges is None and proof.parts == () and len(proof.runs) == 2


def test_without_a_process_nothing_is_guessed():
    proof = prove(program(DIALECT), Against(control=DIALECT, machine=MACHINE, process=None, drawn=drawn(), plate=PLATE))
    assert [f.rule for f in proof.findings] == ["not-compared"]


@pytest.mark.parametrize("text", ["", "\n\n", "M2", "%\n%\n", "(only a comment)\n", "G1\n", "\x00\xff", "M3\nM2\n"])
def test_any_text_gets_a_verdict(text: str):
    assert proof_of(text).verdict in ("PROVEN", "PROVEN WITH WARNINGS", "NOT PROVEN")
    assert not proof_of(text).ok  # none of these cuts the plate


FOREIGN = """G20 G90 G17
G0 X0.5 Y0.5
M3
G4 P1
G1 X2 F85
Y2
X0.5
Y0.5
M5
M30
"""


def test_a_program_by_others_for_a_head_set_by_hand_is_read_as_it_stands():
    machine = replace(MACHINES["contact-none"], inches=False)
    proof = prove(FOREIGN, Against(control=NGC, machine=machine, process=PROCESS))
    assert len(proof.runs) == 1
    assert proof.runs[0].length == pytest.approx(6 * 25.4)
    found = {f.rule for f in proof.findings}
    assert "unreadable-text" not in found
    assert "contact-start-off-plate" in found  # the torch was left raised and never lowered


def test_the_verdict_says_for_what_it_holds():
    holds = proof_of(program(DIALECT)).holds_for
    assert str(holds) == (
        "kerf 1.50-1.88 mm, feeds from half to 4/3 of the chart's, plate within +-4 mm of the last touch-off, "
        "path tolerance 0.05 mm, float 19.05 mm measured at 150 mm/min; "
        "not covered: arc failing to light, lost steps, a kerf other than stated"
    )
    assert "a touch-off that went wrong unseen" in str(proof_of(program(COMPACT), control=COMPACT).holds_for)


def test_the_same_text_gives_the_same_proof():
    one, two = (proof_of(program(DIALECT).replace("Y80.75", "Y80.7")) for _ in range(2))
    assert one.findings == two.findings and one.parts == two.parts


def test_the_proof_tells_how_far_it_is_and_can_be_stopped():
    seen: list[str] = []

    def watch(stage: str, share: float) -> None:
        assert 0.0 <= share <= 1.0
        seen.append(stage)

    prove(
        program(DIALECT),
        Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE),
        watch=watch,
    )
    assert {"reading the program", "applying the rules", "playing on other tables"} <= set(seen)

    def stop(stage: str, share: float) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        prove(
            program(DIALECT),
            Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE),
            watch=stop,
        )


def at(c: Cut, dx: float) -> Cut:
    """Return a cut moved along X."""
    pieces = {name: getattr(c, name) for name in ("contour", "lead_in", "over_burn", "lead_out")}
    changed = {name: path.moved(dx, 0.0) for name, path in pieces.items() if path is not None}
    return replace(c, pierce=(c.pierce[0] + dx, c.pierce[1]), **changed)


def many(n: int) -> tuple[Cut, ...]:
    """Return n known plates beside each other, each with its own hole."""
    return tuple(replace(at(c, 130.0 * k), feature=2 * k + c.feature) for k in range(n) for c in cuts())


def test_a_long_program_is_shortened_for_other_tables_and_its_faults_still_found():
    machine = replace(MACHINE, travel_x=9000.0)
    text = write(plan(machine, many(20)), NGC).text
    proof = prove(text, Against(control=NGC, machine=machine, process=PROCESS))
    assert errors(proof) == set()
    lines = text.splitlines()
    guards = [k for k, line in enumerate(lines) if line.startswith("#102")]
    one = guards[62:65]  # the guards of one block in the middle
    spoiled = "\n".join(line for k, line in enumerate(lines) if k not in one) + "\n"
    found = [
        f
        for f in prove(spoiled, Against(control=NGC, machine=machine, process=PROCESS)).findings
        if f.severity is Severity.ERROR
    ]
    assert [f.rule for f in found] == ["touch-off-miss-unguarded"]
    assert spoiled.splitlines()[(found[0].line or 0) - 1] == "M3"


def test_what_is_played_is_much_shorter_than_a_long_program():

    machine = replace(MACHINE, travel_x=9000.0)
    text = write(plan(machine, many(20)), NGC).text
    table = scenario.nominal(machine, 0.0)
    played = play(text, NGC, machine, table, process=PROCESS)
    evidence = gather(
        text,
        played.trace,
        played.searches,
        table.plate,
        Against(control=NGC, machine=machine, process=PROCESS),
    )
    short = shorten(evidence)
    assert len(short.lines) < len(evidence.lines) / 2
    assert [evidence.lines[n - 1] for n in short.lines] == short.text.splitlines()
    again = play(short.text, NGC, machine, table, process=PROCESS)
    assert again.trace.stopped is None and len(again.light_rows) == len(short.runs)


def short_of(text: str, machine: Machine) -> tuple[Short, Evidence]:
    """Return a program as it is played on other tables, and what it is taken from."""
    table = scenario.nominal(machine, 0.0)
    played = play(text, NGC, machine, table, process=PROCESS)
    against = Against(control=NGC, machine=machine, process=PROCESS)
    evidence = gather(text, played.trace, played.searches, table.plate, against)
    return shorten(evidence), evidence


@pytest.mark.parametrize("line", ["G53 G0 X{x} Y{y}", "G0 X#5221", "G91", "G1 X{x} Z25 F900", "G55", "G92 X0"])
def test_a_block_with_any_line_that_is_no_plain_move_is_played(line: str):
    machine = replace(MACHINE, travel_x=9000.0)
    lines = write(plan(machine, many(20)), NGC).text.splitlines()
    lights = [k for k, text in enumerate(lines) if text == "M3"]
    before = max(k for k in range(lights[13]) if lines[k] == "M5")
    usual, _ = short_of("\n".join(lines) + "\n", machine)
    assert 13 not in usual.runs and len(usual.kinds) == 2
    short, evidence = short_of("\n".join([*lines[:before], line.format(x=1, y=2), *lines[before:]]) + "\n", machine)
    assert 12 in short.runs or 13 in short.runs
    assert line.format(x=1, y=2) in short.text.splitlines() and len(short.lines) < len(evidence.lines) / 2


def test_every_kind_of_block_stays_however_many_there_are_and_faults_are_tried_at_each():
    machine = replace(MACHINE, travel_x=9000.0)
    lines = write(plan(machine, many(20)), NGC).text.splitlines()
    dwells = iter(range(1000))
    each = [f"G4 P0.4{next(dwells):03d}" if line == "G4 P0.4" else line for line in lines]
    short, evidence = short_of("\n".join(each) + "\n", machine)
    assert len(short.kinds) == len(short.runs) == len(evidence.runs) == 40
    guards = [k for k, line in enumerate(each) if line.startswith("#102")]
    for number in (9, 22, 37):  # three guards in each block
        own = set(guards[3 * number - 1 : 3 * number + 2])
        spoiled = "\n".join(line for k, line in enumerate(each) if k not in own) + "\n"
        assert "touch-off-miss-unguarded" in errors(
            prove(spoiled, Against(control=NGC, machine=machine, process=PROCESS))
        )


def test_a_kind_of_block_at_which_no_fault_was_tried_is_a_warning_and_a_repeat_a_note(monkeypatch: pytest.MonkeyPatch):
    machine = replace(MACHINE, travel_x=9000.0)
    text = write(plan(machine, many(20)), NGC).text
    for most, severity in ((60, Severity.WARNING), (700, Severity.NOTE)):
        monkeypatch.setattr(other_tables, "MOST_PLAYED", 0)
        monkeypatch.setattr(other_tables, "LEAST_FAULTS", most)
        told = [
            f
            for f in prove(text, Against(control=NGC, machine=machine, process=PROCESS)).findings
            if f.rule == "played-in-part"
        ]
        assert [f.severity for f in told] == [severity]


@pytest.mark.parametrize("value", ["Q5", "Q-10", "Q10.5"])
def test_an_analog_torch_output_is_set_to_the_value_of_the_machine_file(value: str):
    machine = replace(MACHINE, torch_on="M68 E0 Q10", torch_off="M68 E0 Q0")
    text = program(DIALECT, machine)
    assert proof_of(text, machine).verdict == "PROVEN"
    assert proof_of(text.replace("M68 E0 Q10", "M068 Q10. E0"), machine).verdict == "PROVEN"
    proof = proof_of(text.replace("M68 E0 Q10", f"M68 E0 {value}", 1), machine)
    (told,) = [f for f in proof.findings if f.rule == "torch-word-differs"]
    assert told.severity is Severity.WARNING and value in told.message and told.line is not None
    assert proof.verdict != "PROVEN"
