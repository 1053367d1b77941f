"""The report of a batch as one HTML page with everything in it: what needs a look comes first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from urllib.parse import quote

from kerfproof.report.data.facts import both_sizes, counted
from kerfproof.report.picture.colors import LIGHT
from kerfproof.units import format_length, format_time
from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.report_data import totals
from kerfproof_app.batch.result import Result, State, counts

SIGNS = {
    State.PROVEN: ("\N{CHECK MARK}", "good"),
    State.WARNED: ("!", "warning"),
    State.REFUSED: ("\N{BALLOT X}", "error"),
    State.UNREADABLE: ("?", "error"),
    State.FAILED: ("\N{HIGH VOLTAGE SIGN}\N{VARIATION SELECTOR-15}", "error"),
    State.LEFT: ("\N{HORIZONTAL ELLIPSIS}", "left"),
}
"""Sign and colour of each result: never told by colour alone."""
RARE = (State.FAILED, State.LEFT)
"""Results that are told only where they came."""
MOST_SENTENCES = 6
_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; padding: 28px 36px 60px; background: %(paper)s; color: %(ink)s;
       font: 20px/1.42 "DejaVu Sans", Verdana, sans-serif; }
h1 { font-size: 34px; margin: 0 0 4px; }
h2 { font-size: 26px; margin: 40px 0 14px; padding-bottom: 6px; border-bottom: 3px solid %(rule)s; }
.sums { color: %(faint)s; margin: 0 0 22px; }
.counts { display: flex; flex-wrap: wrap; gap: 14px; padding: 0; margin: 0; list-style: none; }
.counts li { padding: 10px 20px; border-radius: 5px; background: #fff; border: 2px solid %(rule)s; }
.counts b { font-size: 34px; margin-right: 10px; }
.none { opacity: 0.45; }
.card { display: grid; grid-template-columns: 440px 1fr; gap: 6px 30px; padding: 18px; margin: 0 0 18px;
        background: #fff; border: 2px solid %(rule)s; border-left-width: 12px; border-radius: 5px;
        break-inside: avoid; }
.card.error { border-left-color: %(error)s; }
.card.warning { border-left-color: %(warning)s; }
.card.left { border-left-color: %(faint)s; }
.card.good { border-left-color: %(good)s; }
.sheet { min-height: 90px; }
.sheet svg, .sheet img { display: block; max-width: 100%%; height: auto; }
.nothing { color: %(faint)s; border: 2px dashed %(rule)s; padding: 30px; text-align: center; }
h3 { font-size: 23px; margin: 0 0 8px; overflow-wrap: anywhere; }
.badge { display: inline-block; padding: 2px 12px; border-radius: 4px; font-weight: bold; margin-right: 12px; }
.badge.error { background: %(error)s; color: %(error_ink)s; }
.badge.warning { background: %(warning)s; color: %(warning_ink)s; }
.badge.left { background: %(faint)s; color: %(paper)s; }
.badge.good { background: %(good)s; color: %(good_ink)s; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 2px 18px; margin: 10px 0; }
dt { color: %(faint)s; }
dd { margin: 0; overflow-wrap: anywhere; }
.said { margin: 10px 0 0; padding: 0; list-style: none; overflow-wrap: anywhere; }
.said li { margin: 6px 0; padding-left: 14px; border-left: 6px solid %(note)s; }
.said li.error { border-color: %(error)s; }
.said li.warning { border-color: %(warning)s; }
.said b { margin-right: 8px; }
a { color: %(good)s; }
.said i { color: %(faint)s; font-style: normal; white-space: nowrap; }
.glance { display: flex; flex-wrap: wrap; gap: 8px; margin: 22px 0 0; }
.glance a { display: flex; max-width: 100%%; color: inherit; text-decoration: none; background: #fff; font-size: 17px;
            border: 2px solid %(rule)s; border-radius: 4px; padding-right: 10px; overflow-wrap: anywhere; }
.glance span { padding: 1px 9px; margin-right: 10px; font-weight: bold; align-self: stretch; }
.glance .error span { background: %(error)s; color: %(error_ink)s; }
.glance .warning span { background: %(warning)s; color: %(warning_ink)s; }
.glance .left span { background: %(faint)s; color: %(paper)s; }
.glance .good span { background: %(good)s; color: %(good_ink)s; }
@media (max-width: 1000px) { .card { grid-template-columns: 1fr; } }
@media print { body { font-size: 15px; background: #fff; } }
"""


def page_bytes(results: Sequence[Result], behind: Sequence[str], title: str) -> bytes:
    """Return the page. `title` names the folder; `behind` are programs that belong to no drawing any more."""
    return ("\n".join(_page(results, behind, title)) + "\n").encode("utf-8")


def _page(results: Sequence[Result], behind: Sequence[str], title: str) -> Iterator[str]:
    name = escape(shown(title))
    yield '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{name}: {counted(len(results), 'drawing')}</title>"
    yield f"<style>{_STYLE % LIGHT}</style></head><body>"
    yield f"<h1>{name}: {counted(len(results), 'drawing')}</h1>"
    yield f'<p class="sums">{escape(sums(results))}</p>'
    yield from _counts(results)
    if behind:
        yield from _behind(behind)
    look = [result for result in results if result.state is not State.PROVEN]
    look.sort(key=lambda r: (list(State).index(r.state), r.name))
    fine = [result for result in results if result.state is State.PROVEN]
    places = {result.name: f"d{number}" for number, result in enumerate((*look, *fine), 1)}
    yield from _glance((*look, *fine), places)
    for heading, group in (("Need a look", look), ("Proven, nothing to say", fine)):
        if group:
            yield f"<h2>{heading} ({len(group)})</h2>"
            for result in group:
                yield from _card(result, places[result.name])
    yield "</body></html>"


def sums(results: Sequence[Result]) -> str:
    """Return what all programs come to, as one line."""
    all_of = totals(results)
    return (
        f"{counted(int(all_of['programs']), 'program')}, {counted(int(all_of['pierces']), 'pierce')}, "
        f"{all_of['cut_length_mm'] / 1000:.2f} m of cut, "
        f"torch on {format_time(round(all_of['torch_on_s']))} of {format_time(round(all_of['run_s']))}"
    )


def _counts(results: Sequence[Result]) -> Iterator[str]:
    yield '<ul class="counts">'
    for state, number in counts(results).items():
        sign, _ = SIGNS[state]
        hidden = "" if number else ' class="none"'
        if number or state not in RARE:
            yield f"<li{hidden}><b>{number}</b>{sign} {state}</li>"
    yield "</ul>"


def _behind(behind: Sequence[str]) -> Iterator[str]:
    yield f"<h2>Programs without a drawing ({len(behind)})</h2>"
    yield "<p>They were written for drawings that are gone, changed or refused since. Do not cut from them.</p>"
    yield '<ul class="said">'
    for name in behind:
        yield f'<li class="warning">{escape(shown(name))}</li>'
    yield "</ul>"


def _glance(results: Sequence[Result], places: dict[str, str]) -> Iterator[str]:
    """Yield all drawings as small labels that lead to their cards."""
    yield '<nav class="glance">'
    for result in results:
        sign, kind = SIGNS[result.state]
        yield f'<a class="{kind}" href="#{places[result.name]}"><span>{sign}</span>{escape(shown(result.name))}</a>'
    yield "</nav>"


def _card(result: Result, place: str) -> Iterator[str]:
    sign, kind = SIGNS[result.state]
    yield f'<section class="card {kind}" id="{place}"><div class="sheet">{_picture(result)}</div><div>'
    badge = f'<span class="badge {kind}">{sign} {escape(str(result.state).upper())}</span>'
    yield f"<h3>{badge}{escape(shown(result.name))}</h3>"
    yield from _sentences(result)
    yield "<dl>"
    for term, value in facts(result):
        yield f"<dt>{term}</dt><dd>{escape(value)}</dd>"
    if result.program:
        link = quote(result.program.encode("utf-8", "surrogateescape"))
        yield f'<dt>Program</dt><dd><a href="{link}">{escape(shown(result.program))}</a></dd>'
    yield "</dl></div></section>"


def _picture(result: Result) -> str:
    if result.picture.startswith("data:"):
        return f'<img alt="{escape(shown(result.name))}" width="420" src="{escape(result.picture)}">'
    return result.picture or '<p class="nothing">no picture</p>'


def _sentences(result: Result) -> Iterator[str]:
    """Yield why there is no program, then the findings, one sentence for each kind."""
    weight = "note" if result.state is State.LEFT else "error"
    said = [(weight, result.reason, 1)] if result.reason else []
    kinds: dict[tuple[str, str], list[str]] = {}
    for finding in result.findings:
        kinds.setdefault((finding["severity"], finding["rule"]), []).append(finding["sentence"])
    said += [(severity, sentences[0], len(sentences)) for (severity, _), sentences in kinds.items()]
    if not said:
        return
    yield '<ul class="said">'
    for severity, sentence, number in said[:MOST_SENTENCES]:
        more = f" <i>and {number - 1} more of this kind</i>" if number > 1 else ""
        yield f'<li class="{severity}"><b>{severity}</b>{escape(sentence)}{more}</li>'
    if result.more_findings:
        yield "<li>there is more; cut this drawing alone to see it all</li>"
    elif len(said) > MOST_SENTENCES:
        yield "<li>there is more; the JSON report holds it</li>"
    yield "</ul>"


def facts(result: Result) -> Iterator[tuple[str, str]]:
    """Yield what is told of a drawing, as names and values."""
    if result.width is not None and result.height is not None:
        yield "Size", both_sizes(result.width, result.height)
    if result.parts is not None:
        copies = f", {result.count} times the drawing" if result.count > 1 else ""
        yield "Parts", f"{result.parts} with {counted(result.holes or 0, 'hole')}{copies}"
    if result.pierces is not None and result.cut_length is not None:
        yield "Cuts", f"{counted(result.pierces, 'pierce')}, {result.cut_length / 1000:.2f} m of cut"
    if result.run_s is not None and result.torch_on_s is not None:
        yield "Time", f"{format_time(round(result.run_s))}, torch on {format_time(round(result.torch_on_s))}"
    if result.material:
        thick = f" {format_length(result.thickness)}" if result.thickness is not None else ""
        yield "Material", f"{result.material}{thick}" + (" (assumed)" if result.assumed else "")
    if result.machine:
        yield "Machine", result.machine
