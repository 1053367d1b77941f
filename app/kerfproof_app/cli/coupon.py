"""``kerfproof coupon``: test pieces: a program that measures, and what the measurements say."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk

if TYPE_CHECKING:
    from kerfproof.coupon.piece import CouponKind, CouponResult
    from kerfproof_app.shop.test_pieces import CutPiece


@o.takes(
    o.argument("kind", "KIND", "Kind of test piece, or `list`."),
    o.text("--output -o", "PROGRAM", "Program to write; - is the terminal."),
    o.texts("--read", "FILE|NAME=VALUE", 'Readings: "S1=38.6 38.5 mm", or a file of such lines.'),
    o.text("--of", "PROGRAM", "The program that the piece was cut with."),
    o.tick("--save", "Write the result into your own chart or machine file."),
    o.CUT_WITH, o.KERF, o.FEED,
    o.text("--sizes", "A,B,... UNIT", 'Sizes of the piece: "20,30,40 mm".'),
    o.number("--count", "N", "Rungs, pierces, starts in a row, touches."),
    o.texts("--vary", "WHAT", "start: light-delay, preload, rise-feed, pierce-height; repeatable."),
    o.SET, o.JSON,
)  # fmt: skip
def coupon(options: o.Options) -> int:
    """Write a test piece, or tell what its readings come to.

    `kerfproof coupon list` lists the kinds. Exit code 0: done. 1: the piece is not proven, or a reading can't be
    right (then nothing is saved). 2: could not work with the input.
    """
    from kerfproof.coupon.piece import kind_of, kinds
    from kerfproof.errors import KerfproofError

    if options["kind"].strip().lower() == "list":
        talk.table([(k.name, str(k.title)) for k in kinds().values()])
        return 0
    kind = kind_of(options["kind"])
    if options["read"] and options["output"]:
        raise KerfproofError("-o writes a piece and --read reads one", advice="do one after the other")
    if options["read"]:
        return _read(kind, options)
    if not options["output"]:
        raise KerfproofError("nothing to do", advice="-o PROGRAM writes the piece, --read its readings")
    return _make(kind, options)


COMMAND = coupon


# --- making ---------------------------------------------------------------------------------------------------


def _make(kind: CouponKind, options: dict[str, Any]) -> int:
    from kerfproof_app.cli.common.write_cut import write_program
    from kerfproof_app.shop import store

    if options["output"] != talk.TERMINAL:
        store.check_target(Path(options["output"]))
    bench = _bench(options)
    piece = kind.make(bench)
    if piece.ok:
        write_program(options["output"], piece.program.text)
    if options["as_json"]:
        talk.result_json(_piece_record(kind, piece))
        return 0 if piece.ok else 1
    speak, name = talk.about(options["output"])
    speak(f"PROVEN: {name} is the {kind.name} piece" if piece.ok else f"NOT PROVEN: {name} was not written")
    for sentence in piece.guide:
        speak(f"  {sentence}")
    speak(f"then: kerfproof coupon {kind.name} --of {options['output']} --read FILE, with lines such as")
    for ask in kind.asks(piece.facts):
        speak(f"  {ask.name} =   # {ask.text}")
    meant = piece.tried
    talk.findings([f for f in piece.findings if f not in meant], speak, inches=bench.machine.inches)
    if meant:
        speak(f"note: {', '.join(sorted({f.rule for f in meant}))} is what the piece tries on purpose")
    return 0 if piece.ok else 1


def _piece_record(kind: CouponKind, piece: Any) -> dict[str, Any]:
    from kerfproof.report.data.job_report import finding_record

    return {
        "format": 1,
        "kind": kind.name,
        "proven": piece.ok,
        "plate_mm": [piece.plate[2] - piece.plate[0], piece.plate[3] - piece.plate[1]],
        "guide": [str(sentence) for sentence in piece.guide],
        "readings": [{"name": a.name, "text": str(a.text)} for a in kind.asks(piece.facts)],
        "findings": [finding_record(f) for f in piece.findings],
    }


def _bench(options: dict[str, Any]) -> Any:
    """Return what the piece is made for: the shop and the chart row as `cut` takes them."""
    from kerfproof.job.job import Job
    from kerfproof_app.cli.common.job_from_options import current_of, feed_of, given, length_of, plate_of
    from kerfproof_app.cli.common.shop_from_options import find_shop, split_changes
    from kerfproof_app.shop.test_pieces import bench_of, sizes_of

    changes = [(k.removeprefix("machine."), v) for k, v in split_changes(options.get("sets") or [])]
    shop = find_shop(options["machine"], options["chart"], changes)
    material, thickness, assumed = plate_of(options)
    if assumed:
        talk.say(f"assumed: {assumed}")
    job = Job(
        drawings=(),
        machine=shop.machine.name,
        chart=shop.chart.name,
        material=material,
        thickness=thickness,
        amps=current_of(options["amps"]) if options["amps"] else None,
        kerf=length_of("kerf", options["kerf"]) if options["kerf"] else None,
        feed_mm_min=feed_of(options["feed"]) if options["feed"] else None,
    )
    return bench_of(job, shop, given(options, "sizes", sizes_of) or (), options["count"], options["vary"] or ())


# --- reading --------------------------------------------------------------------------------------------------


def _read(kind: CouponKind, options: dict[str, Any]) -> int:
    from kerfproof.errors import KerfproofError
    from kerfproof_app.shop import store
    from kerfproof_app.shop.test_pieces import piece_in, solved

    if not options["of"]:
        raise KerfproofError("which piece was measured?", advice="name the program it was cut with: --of PROGRAM")
    piece = piece_in(store.read_text(Path(options["of"])), options["of"])
    if piece.kind.name != kind.name:
        raise KerfproofError(f"this program is a {piece.kind.name} piece, no {kind.name} piece", where=options["of"])
    text, where = _text_of(options["read"])
    result = solved(piece, text, where, options["of"])
    saved = _save(piece, result, options) if options["save"] else []
    _tell(piece, result, saved, options)
    return 0 if result.ok else 1


def _text_of(words: list[str]) -> tuple[str, str]:
    """Return the readings as one text, and where they stand."""
    from kerfproof_app.shop import store

    texts, where = [], ""
    for word in words:
        if "=" not in word:
            texts.append(store.read_text(Path(word)))
            where = word
        else:
            texts.append(word)
    return "\n".join(texts), where


def _save(piece: CutPiece, result: CouponResult, options: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Write what was found into the person's files; return file and value, old and new."""
    from datetime import date

    from kerfproof_app.shop.test_pieces import save

    saved = save(piece, result, date.today().isoformat(), options["machine"], options["chart"])
    return [(f"{s.path}: {s.key}", s.before, s.now) for s in saved]


def _tell(piece: CutPiece, result: CouponResult, saved: list[tuple[str, str, str]], options: dict[str, Any]) -> None:
    from kerfproof.report.data.job_report import finding_record

    if options["as_json"]:
        records = [finding_record(f) for f in result.findings]
        talk.result_json(
            {"format": 1, "kind": piece.kind.name, "values": dict(result.values), "note": result.note,
             "saved": bool(saved), "findings": records}
        )  # fmt: skip
        return
    for key, value in result.lines:
        talk.result(f"{key:<13} {value}")
    for place, before, now in saved:
        talk.result(f"saved         {place} = {now}" + (f", it was {before}" if before else ""))
    if options["save"] and not saved:
        why = "nothing to save" if result.ok else "a reading can't be right: put it right or leave it out"
        talk.say(f"not saved: {why}")
    elif result.changes and not options["save"] and result.ok:
        talk.say("--save writes this into your own file")
    talk.findings(result.findings, inches=bool(piece.facts.get("inches")))
