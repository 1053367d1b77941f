"""The proof of a program from its text alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.trace import Trace
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare import placement
from kerfproof.proof.compare.compare import Comparison, compare
from kerfproof.proof.compare.raised import raised_findings
from kerfproof.proof.compare.sheets import each_sheet
from kerfproof.proof.compare.tabs import bridged, excused, judged_tabs
from kerfproof.proof.evidence.evidence import Against, Evidence, gather
from kerfproof.proof.evidence.kept_metal import kept_of
from kerfproof.proof.evidence.pieces import pieces_of
from kerfproof.proof.evidence.simulated_table import reads_trip
from kerfproof.proof.limits import HEIGHT_BAND
from kerfproof.proof.memory import ProofMemory
from kerfproof.proof.proof import Proof
from kerfproof.proof.rule import all_rules
from kerfproof.proof.rule_choices import left_out, weighed
from kerfproof.proof.table import other_tables, scenario
from kerfproof.proof.table.play import Played, play
from kerfproof.sentence import Phrase, joined_phrases, mm, mm_min, mm_span, say
from kerfproof.shop.profile import Machine, TouchOff
from kerfproof.shop.touch_limits import PLATE_MOVES

MOST_REFUSED = 200
"""A text with more lines than this that a control would refuse is no program; it is not played any further."""


def prove(
    text: str, against: Against, *, untold: int = 0, memory: ProofMemory | None = None, watch: Watch = no_watch
) -> Proof:
    """Return the proof of a program.

    Parameters
    ----------
    text
        The program.
    against
        What it is judged against.
    untold
        So many lines at the top are what was cut before: what rules find on them is not told, and so does not count
        among the most findings of a rule that are. All is cut on one plate then.
    memory
        The drawing as the last proof made it ready, which may spare work; the proof is the one without it.
    """
    judged = replace(against, one_plate=untold > 0)
    if against.mode != "cut":
        raised = against.drawn if against.mode in ("dry", "frame", "tour") else None
        judged = replace(judged, drawn=None, raised=raised, tabs=against.tabs if against.mode == "dry" else ())
    proof = _proof(text, judged, watch, memory, untold)
    findings = weighed(
        weighed(left_out(proof.findings, against.leave_out), against.machine.rules, all_rules()),
        against.choices,
        all_rules(),
        shop=False,
    )
    return replace(proof, findings=findings)


def _proof(text: str, against: Against, watch: Watch, memory: ProofMemory | None, untold: int) -> Proof:
    watch("reading the program", 0.0)
    control, machine, process = against.control, against.machine, against.process
    table = scenario.nominal(machine, control.control_back_off, process)
    book = Book(control, against.lines)
    ready = memory.kept if memory is not None else kept_of
    clean = play(text, control, machine, table, process=process, mode=against.mode, book=book, watch=watch)
    evidence = gather(text, clean.trace, clean.searches, table.plate, against, watch, ready)
    watch("comparing with the drawing", 0.0)
    laid = placement.laid_down(evidence, against)
    believed = frozenset[int]()
    if evidence.stock.doubts and evidence.kept is not None:
        doubted = frozenset(doubt.row for doubt in evidence.stock.doubts)
        apart = gather(text, clean.trace, clean.searches, table.plate, against, watch, ready, doubted)
        trial = placement.laid_down(apart, against)
        believed = placement.believed(apart, trial, doubted)
        if believed:
            evidence = gather(text, clean.trace, clean.searches, table.plate, against, watch, ready, believed)
            laid = placement.laid_down(evidence, against)
    sheets, counts = laid.sheets, laid.against.counts
    places = tuple(place for sheet in sheets for place in sheet.places)
    if laid.against is not against:
        against = laid.against
        evidence = gather(text, clean.trace, clean.searches, table.plate, against, watch, believed=believed)
    compared = _compared(evidence, watch)
    tabs, no_tabs = excused(against.tabs if against.mode == "cut" else (), evidence)
    if tabs and evidence.kept is not None:
        feed = process.feed_mm_min if process is not None else 0.0
        whole_cut = bridged(clean.trace, tabs, feed)
        bridges = gather(text, whole_cut, clean.searches, table.plate, against, watch, ready, believed)
        compared = _compared(bridges, watch)
    by_sheet: tuple[Evidence, ...] = ()
    if evidence.stock.plates > 1 and compared is not None and not (compared.misplaced and len(counts) < 2):

        def sheet_by_itself(trace: Trace, some: tuple[Contour, ...], lines: tuple[Contour, ...]) -> Evidence:
            part = replace(against, drawn=some, slits=lines)
            return gather(text, bridged(trace, tabs, 0.0), clean.searches, table.plate, part, watch)

        found = each_sheet(evidence, against.drawn or (), against.slits, counts, sheet_by_itself, watch)
        compared, by_sheet = found.compared, found.evidence
    judged, lost = evidence, compared is not None and placement.nowhere(sheets, compared)
    if lost:
        judged, compared, by_sheet = replace(evidence, kept=None, swept=None), None, ()
    if compared is not None and compared.misplaced:
        # What lies elsewhere as a whole must not be judged by the drawing's place and the plate around it.
        judged = replace(evidence, kept=None, swept=None, plate=None)
    findings = [*_stopped(clean.trace), *_crowded(evidence), *_by_rules(judged, by_sheet, watch, untold)]
    if lost:
        findings.append(placement.NOT_FOUND)
    elif compared is None:
        findings += _not_compared(evidence, against.drawn)
    elif clean.trace.stopped is None:
        findings += [*placement.told(sheets), *compared.findings, *no_tabs, *judged_tabs(tabs, evidence.path)]
    if against.raised and clean.trace.stopped is None:

        def gathered(trace: Trace, asked: Against) -> Evidence:
            return gather(text, trace, clean.searches, table.plate, asked, watch, ready)

        findings += raised_findings(clean.trace, against, against.raised, gathered)
    findings += _played(evidence, clean, findings, book, watch)
    return Proof(
        tuple(findings),
        compared.parts if compared is not None else (),
        evidence.runs,
        evidence.trace,
        compared.edges if compared is not None else None,
        compared.worst_gouge if compared is not None else 0.0,
        compared.worst_leftover if compared is not None else 0.0,
        compared.edge_deviation if compared is not None else 0.0,
        holds_for(evidence, compared, path_of(control, machine, findings)),
        pieces_of(evidence) if compared is None and evidence.mode == "cut" else (),
        places,
        compared.made_for if compared is not None else None,
    )


def _stopped(trace: Trace) -> list[Finding]:
    """Return that the program stops itself on a table where nothing is wrong."""
    if trace.stopped is None:
        return []
    return [
        Finding(
            "program-stops-itself",
            Severity.ERROR,
            f"the control stops here though nothing is wrong: {trace.stopped.reason}",
            "mend this line; nothing after it was proven",
            trace.stopped.line,
        )
    ]


def _crowded(evidence: Evidence) -> list[Finding]:
    """Return that the path is a scribble whose open kerfs could not all be judged."""
    if not evidence.stock.crowded:
        return []
    message = "the torch crosses its own path so often that open kerfs are judged in part only"
    return [Finding("path-too-crowded", Severity.ERROR, message, "look at the program: this is no part")]


def _by_rules(evidence: Evidence, by_sheet: Sequence[Evidence], watch: Watch, untold: int) -> list[Finding]:
    """Return what all rules find, rule by rule; what they say of the drawing is found on each sheet by itself."""
    findings: list[Finding] = []
    rules = all_rules()
    for number, rule in enumerate(rules.values()):
        watch("applying the rules", number / len(rules))
        findings += rule.findings(evidence, untold, by_sheet)
    return findings


def _compared(evidence: Evidence, watch: Watch) -> Comparison | None:
    """Return the comparison with the drawing, None where drawing or kerf are unknown."""
    if evidence.kept is None or evidence.swept is None:
        return None
    return compare(evidence, evidence.kept, evidence.swept, watch)


def _not_compared(evidence: Evidence, drawn: tuple[Contour, ...] | None) -> list[Finding]:
    """Return a note on what the proof could not judge."""
    if evidence.mode != "cut":
        return []
    missing = "the drawing" if not drawn else "the kerf"
    message = f"not compared with a drawing: {missing} is not known"
    return [Finding("not-compared", Severity.NOTE, message, "give drawing, material and thickness")]


def _played(evidence: Evidence, clean: Played, found: list[Finding], book: Book, watch: Watch) -> list[Finding]:
    """Return what goes wrong on other tables and is not known yet."""
    refused = sum(unread.error for unread in clean.trace.unread)
    if clean.trace.stopped is not None or refused > MOST_REFUSED:
        return []
    known = {finding.rule for finding in found if finding.severity is Severity.ERROR}
    out = [f for f in clean.findings if f.rule not in known]
    order = list(Severity)
    told_as = dict.fromkeys(known, 0)
    for finding in out:
        told_as[finding.rule] = min(order.index(finding.severity), told_as.get(finding.rule, len(order)))
    field = other_tables.Field(evidence, clean, book)
    for told in field.findings(watch):
        weight = order.index(told.severity)
        if weight < told_as.get(told.rule, len(order)):  # what no table makes worse is told of one
            out.append(told)
            told_as[told.rule] = weight
    return out


def path_of(control: Dialect, machine: Machine, findings: list[Finding]) -> Phrase:
    """Return how exactly the control follows the path, as far as the verdict may rely on it."""
    if any(f.rule == "path-mode-differs" for f in findings):
        return "the path as written, which its path mode may leave"
    if machine.path_tolerance is None:
        return "exact path"
    if "{tolerance}" not in control.path_blend_word and control.path_blend_word != control.path_exact_word:
        return "corners rounded by the control without a limit"
    return say("path tolerance {path_tolerance}", path_tolerance=mm(machine.path_tolerance, "g"))


def holds_for(evidence: Evidence, compared: Comparison | None, path: Phrase) -> Phrase:
    """Return one line: for what the verdict holds, and what text alone can't know."""
    control, machine, process, mode = evidence.control, evidence.machine, evidence.process, evidence.mode
    if mode not in ("cut", "touch"):
        return say("{path}; not covered: lost steps", path=path)
    told: list[Phrase] = []
    if process is not None and compared is not None:
        told.append(say("kerf {span}", span=mm_span(process.kerf, process.worn_kerf, ".2f", between="-")))
        told.append("feeds from half to 4/3 of the chart's")
    if machine.touch_off is TouchOff.NONE:
        told.append("a flat plate at the Z zero that the operator sets")
    else:
        told.append(
            say(
                "plate within +-{plate_height_band} of the last touch-off",
                plate_height_band=mm(machine.plate_height_band, "g"),
            )
        )
        told += _at_starts_without_one(evidence)
    told.append(path)
    if machine.touch_off is TouchOff.FLOAT:
        told.append(
            say(
                "float {float_travel} measured at {float_feed_mm_min}",
                float_travel=mm(machine.float_travel, "g"),
                float_feed_mm_min=mm_min(machine.float_feed_mm_min, "g"),
            )
        )
    unknown = ["arc failing to light", "lost steps", "a kerf other than stated"]
    if not reads_trip(control) and machine.touch_off is not TouchOff.NONE:
        unknown.insert(0, "a touch-off that went wrong unseen")
    return say("{conditions}; not covered: {unknown}", conditions=joined_phrases(told), unknown=", ".join(unknown))


def _at_starts_without_one(evidence: Evidence) -> list[Phrase]:
    """Return how much less the plate may move at starts that have no touch-off of their own, nothing without any."""
    count = int((evidence.found.left_out > 0).sum())
    if not count:
        return []
    process, starts = evidence.process, "1 start" if count == 1 else f"{count} starts"
    room = PLATE_MOVES if process is None else max(0.0, min(PLATE_MOVES, process.cut_height - HEIGHT_BAND[0]))
    where = say("from {low} lower to {high} higher", low=mm(PLATE_MOVES, "g"), high=mm(round(room, 3), "g"))
    return [say("{where} at {starts} without a touch-off", where=where, starts=starts)]
