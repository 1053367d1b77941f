"""``kerfproof resume``: from the command line to a proven program for the rest."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kerfproof.job.job import DrawingUse, Job
from kerfproof.job.job_file import write_job
from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from kerfproof_resources import drawing_bytes

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    Path("gusset.dxf").write_bytes(drawing_bytes("gusset"))
    assert main(["cut", "gusset.dxf", "-o", "g.nc", "--machine", "contact-float-mm"]) == 0
    capsys.readouterr()


def test_the_rest_of_a_program_is_written_and_proven(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35mm", "-o", "rest.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN") and "goes on with g.nc" in out
    assert "done        1-5" in out and "to cut      6" in out
    assert "leaves the drawn parts" in out
    assert Path("rest.nc").read_text(encoding="ascii").startswith("(g.nc, resumed)")
    assert main(["prove", "rest.nc"]) == 0


def test_a_job_is_gone_on_with_like_its_program(capsys: Capture):
    job = Job(
        drawings=(DrawingUse(name="gusset.dxf"),), machine="contact-float-mm", chart="air-50a", material="mild steel",
        thickness=3.0,
    )  # fmt: skip
    Path("g.kerfproof.toml").write_text(write_job(job), encoding="utf-8")
    assert main(["resume", "g.kerfproof.toml", "--from-cut", "4", "--unlit", "2", "-o", "job.nc", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["cuts"] == [2, 4, 5, 6] and told["done"] == [1, 3] and told["written"]
    assert main(["resume", "g.nc", "--from-cut", "4", "--unlit", "2", "-o", "text.nc"]) == 0

    def motion(name: str) -> list[str]:
        return [line for line in Path(name).read_text(encoding="ascii").splitlines() if not line.startswith("(")]

    assert motion("job.nc") == motion("text.nc")


def test_the_program_that_is_gone_on_with_is_not_written_over(capsys: Capture):
    before = Path("g.nc").read_bytes()
    assert main(["resume", "g.nc", "--from-cut", "4", "-o", "g.nc"]) == 2
    assert "g.nc: this is the program that is read (name another file)" in capsys.readouterr().err
    assert Path("g.nc").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "where to go on was not said"),
        (["--from-cut", "17"], "there is no cut 17, the program has 6"),
        (["--near", "900,900 mm"], "beside any cut"),
        (["--near", "12"], "is no place"),
        (["--near", "2,0.422"], 'write "2,0.422 mm" or "2,0.422 in"'),
        (["--unlit", "two"], "is no list of cuts"),
        (["--from-cut", "6", "--at", "35"], "needs a unit"),
        (["--from-cut", "6", "--at", "9 m"], "is not on cut 6"),
    ],
)
def test_what_can_not_be_is_said_in_one_sentence(capsys: Capture, words, sentence):
    assert main(["resume", "g.nc", *words, "-o", "rest.nc"]) == 2
    err = capsys.readouterr().err
    assert sentence in err and "Traceback" not in err
    assert not Path("rest.nc").exists()


def test_the_first_program_is_never_overwritten(capsys: Capture):
    before = Path("g.nc").read_bytes()
    assert main(["resume", "g.nc", "--from-cut", "2", "-o", "g.nc"]) == 2
    assert Path("g.nc").read_bytes() == before


def test_a_program_without_its_drawing_says_what_can_not_be_known(capsys: Capture):
    Path("gusset.dxf").unlink()
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35 mm", "-o", "rest.nc"]) == 0
    out = capsys.readouterr().out
    assert ", BY RULES ALONE" in out.splitlines()[0]
    assert "scrap-side-guessed" in out and "drawing-missing" in out


def foreign(kerf: str) -> None:
    assert main(["cut", "gusset.dxf", "-o", "own.nc", "--machine", "contact-float-mm", "--kerf", kerf]) == 0
    text = Path("own.nc").read_text(encoding="ascii")
    Path("f.nc").write_text("".join(x for x in text.splitlines(True) if not x.startswith("(")), encoding="ascii")


def test_a_strangers_program_goes_on_with_the_drawing_where_it_is_found(capsys: Capture):
    foreign("1.45 mm")
    words = ["resume", "f.nc", "--from-cut", "6", "--at", "35 mm", "-o", "rest.nc", "--drawing", "gusset.dxf"]
    assert main([*words, "--machine", "contact-float-mm"]) == 0
    out = capsys.readouterr().out
    assert "program-not-ours" in out and "leaves the drawn parts" in out
    assert main(["prove", "rest.nc", "--machine", "contact-float-mm", "--drawing", "gusset.dxf"]) == 0
    assert "rest.nc against gusset.dxf after what f.nc cut" in capsys.readouterr().out


def test_a_drawing_that_is_not_found_in_a_strangers_program_is_not_believed(capsys: Capture):
    foreign("1.45 mm")
    Path("flange.dxf").write_bytes(drawing_bytes("pump-flange"))
    words = ["resume", "f.nc", "--from-cut", "6", "--at", "35 mm", "-o", "rest.nc", "--machine", "contact-float-mm"]
    assert main([*words, "--drawing", "flange.dxf"]) == 0
    assert "flange.dxf was not found in what f.nc cuts" in capsys.readouterr().out


def test_a_strangers_program_for_another_kerf_is_told_as_that(capsys: Capture):
    foreign("1.8 mm")  # the chart says 1.45
    words = ["resume", "f.nc", "--from-cut", "6", "--at", "35 mm", "-o", "rest.nc", "--machine", "contact-float-mm"]
    assert main([*words, "--drawing", "gusset.dxf"]) == 1
    assert "the path was made for a kerf of 1.80 mm" in capsys.readouterr().out


def test_text_that_is_no_program_is_refused(capsys: Capture):
    Path("letter.txt").write_text("Dear customer,\nthe gate is ready.\n", encoding="ascii")
    assert main(["resume", "letter.txt", "--from-cut", "1", "-o", "rest.nc"]) == 2
    assert "Traceback" not in capsys.readouterr().err


# --- the proof of both again ------------------------------------------------------------------------------------


def changed(name: str, old: str, new: str) -> None:
    text = Path(name).read_text(encoding="ascii")
    assert old in text
    Path(name).write_text(text.replace(old, new, 1), encoding="ascii")


def test_prove_repeats_the_proof_together_with_what_was_cut_before(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35mm", "-o", "rest.nc"]) == 0
    capsys.readouterr()
    assert main(["prove", "rest.nc"]) == 0
    assert "rest.nc against gusset.dxf after what g.nc cut" in capsys.readouterr().out
    line = next(t for t in Path("rest.nc").read_text(encoding="ascii").split("\n")[::-1] if t.startswith("G1 X"))
    changed("rest.nc", line, "G1 X150 Y60")  # the last stretch runs into the part
    assert main(["prove", "rest.nc"]) == 1
    assert capsys.readouterr().out.startswith("NOT PROVEN")


def test_a_rest_that_begins_too_late_is_not_proven_together(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35mm", "-o", "rest.nc"]) == 0
    changed("rest.nc", "cut 6 from 35.000 mm on", "cut 6 from 20.000 mm on")  # the arc was lost 15 mm before
    capsys.readouterr()
    assert main(["prove", "rest.nc"]) == 1
    assert "not-free" in capsys.readouterr().out


def test_a_resumed_program_can_itself_be_gone_on_with(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "5", "-o", "second.nc"]) == 0
    assert main(["resume", "second.nc", "--from-cut", "2", "--at", "200mm", "-o", "third.nc"]) == 0
    out = capsys.readouterr().out
    assert "goes on with second.nc" in out and "leaves the drawn parts" in out
    assert main(["prove", "third.nc"]) == 0
    assert "against gusset.dxf after what second.nc cut" in capsys.readouterr().out


def test_without_its_first_program_a_resumed_one_says_so(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "4", "-o", "rest.nc"]) == 0
    Path("g.nc").rename("first.nc")
    Path("g.nc").write_bytes(b"")  # another one of that name
    capsys.readouterr()
    assert main(["prove", "rest.nc"]) == 1  # its pierces may lie in kerfs that nobody knows of
    out = capsys.readouterr().out
    assert out.startswith("NOT PROVEN") and "first-missing" in out and "--first" in out
    assert main(["prove", "rest.nc", "--first", "first.nc"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN: rest.nc against gusset.dxf")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["rest.nc", "--first", "other.nc"], "rest.nc does not go on with this program"),
        (["g.nc", "--first", "other.nc"], "this program does not go on with another"),
        (["rest.nc", "--first", "nowhere.nc"], "nowhere.nc"),
    ],
)
def test_another_first_program_is_refused(capsys: Capture, words, sentence):
    assert main(["resume", "g.nc", "--from-cut", "4", "-o", "rest.nc"]) == 0
    Path("other.nc").write_bytes(Path("g.nc").read_bytes().replace(b"F2200", b"F2100"))
    capsys.readouterr()
    assert main(["prove", *words]) == 2
    assert sentence in capsys.readouterr().err


def test_a_rest_can_be_given_rests_and_told_of_a_new_tip(capsys: Capture):
    words = ["resume", "g.nc", "--from-cut", "2", "-o", "rest.nc", "--new-tip"]
    assert main([*words, "--rests", "stop"]) == 0
    assert "(proof: rests = stop)" in Path("rest.nc").read_text(encoding="ascii")
    assert main([*words, "--rests", "never"]) == 2
    assert "'never' is not known" in capsys.readouterr().err


# --- a chain of programs ----------------------------------------------------------------------------------------


def chain() -> None:
    """Write g.nc, second.nc and third.nc, each gone on with by the next."""
    assert main(["resume", "g.nc", "--from-cut", "5", "-o", "second.nc"]) == 0
    assert main(["resume", "second.nc", "--from-cut", "2", "--at", "100mm", "-o", "third.nc"]) == 0


def test_without_the_first_program_no_resumed_one_is_gone_on_with(capsys: Capture):
    """The new pierce could lie in a kerf of the first one, which is not known then."""
    chain()
    Path("g.nc").rename("away.nc")
    capsys.readouterr()
    words = ["resume", "second.nc", "--from-cut", "2", "--at", "200mm", "-o", "again.nc"]
    assert main(words) == 2
    err = capsys.readouterr().err
    assert "goes on with g.nc, which is not at hand as it was" in err and "--first" in err
    Path("g.nc").write_bytes(Path("away.nc").read_bytes().replace(b"F2200", b"F2100"))  # edited since
    assert main(words) == 2
    assert main([*words, "--first", "g.nc"]) == 2
    assert not Path("again.nc").exists()
    assert main([*words, "--first", "away.nc"]) == 0
    assert "leaves the drawn parts" in capsys.readouterr().out


def test_a_first_program_that_was_edited_afterwards_is_told(capsys: Capture):
    """Beside the rest it is not at hand any more; named, it is refused; the same for the first of a chain."""
    chain()
    right = Path("g.nc").read_bytes()
    for edited in (right.replace(b"F2200", b"F2100", 1), right.replace(b"G0 X", b"G0 X1", 1), right + b"(seen)\n"):
        assert edited != right
        Path("g.nc").write_bytes(edited)
        capsys.readouterr()
        assert main(["prove", "second.nc"]) == 1
        assert "error: first-missing" in capsys.readouterr().out
        assert main(["prove", "second.nc", "--first", "g.nc"]) == 2
        assert "g.nc: it was changed since second.nc was written" in capsys.readouterr().err
        assert main(["prove", "third.nc"]) == 2
        assert "goes on with g.nc, which is not at hand as it was" in capsys.readouterr().err
    Path("g.nc").write_bytes(right.replace(b"\n", b"\r\n"))
    assert main(["prove", "second.nc"]) == 0, "other ends of lines are no change"


def test_a_chain_of_four_is_known_back_to_its_first(capsys: Capture):
    chain()
    words = ["resume", "third.nc", "--from-cut", "1", "--at", "60mm", "-o", "fourth.nc"]
    assert main(words) == 0
    assert main(["prove", "fourth.nc"]) == 0
    Path("g.nc").rename("away.nc")
    capsys.readouterr()
    assert main(words) == 2
    assert "goes on with g.nc" in capsys.readouterr().err
    assert main(["prove", "fourth.nc"]) == 2
    assert "goes on with g.nc" in capsys.readouterr().err
    assert main([*words, "--first", "away.nc"]) == 0
    Path("second.nc").rename("gone.nc")
    assert main(words) == 2
    assert main([*words, "--first", "away.nc"]) == 2
    assert main([*words, "--first", "away.nc", "--first", "gone.nc"]) == 0
    capsys.readouterr()
    assert main(["prove", "fourth.nc", "--first", "gone.nc", "--first", "away.nc"]) == 0
    assert "against gusset.dxf after what third.nc cut" in capsys.readouterr().out


def test_the_drawing_of_the_first_program_may_lie_beside_the_last(capsys: Capture):
    chain()
    Path("there").mkdir()
    Path("g.nc").rename("there/g.nc")
    capsys.readouterr()
    words = ["resume", "second.nc", "--from-cut", "2", "--at", "200mm", "-o", "again.nc", "--first", "there/g.nc"]
    assert main(words) == 0
    assert "leaves the drawn parts" in capsys.readouterr().out
    assert main(["prove", "second.nc", "--first", "there/g.nc"]) == 0
    assert "second.nc against gusset.dxf after what g.nc cut" in capsys.readouterr().out


def test_the_first_program_that_is_named_is_not_written_over():
    chain()
    before = Path("g.nc").read_bytes()
    words = ["resume", "second.nc", "--from-cut", "2", "-o", "g.nc", "--first", "g.nc"]
    assert main(words) == 2
    assert Path("g.nc").read_bytes() == before


# --- what its heading says of a resumed program excuses nothing -----------------------------------------------------


def rest() -> str:
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35mm", "-o", "rest.nc"]) == 0
    return Path("rest.nc").read_text(encoding="ascii")


def test_a_damaged_link_to_the_first_program_is_no_program_that_stands_alone(capsys: Capture):
    text = rest()
    Path("rest.nc").write_text(text.replace("g.nc ", "g.nc cuts ", 1).replace(" cuts 6", " cut 6"), encoding="ascii")
    for words in (["prove", "rest.nc"], ["resume", "rest.nc", "--from-cut", "1", "-o", "more.nc"]):
        capsys.readouterr()
        assert main(words) == 2
        assert "can't be read where it says what the program goes on with" in capsys.readouterr().err


@pytest.mark.parametrize("mode", ["dry", "tour", "frame"])
def test_a_rest_that_calls_itself_dry_and_lights_is_not_proven(capsys: Capture, mode: str):
    Path("rest.nc").write_text(rest().replace("(proof: mode = cut)", f"(proof: mode = {mode})"), encoding="ascii")
    capsys.readouterr()
    assert main(["prove", "rest.nc"]) == 1
    assert "dry-run-not-dry" in capsys.readouterr().out


EDITS = {
    "no touch-off": lambda text: "".join(x for x in text.splitlines(True) if not x.startswith("G38")),
    "a gouge": lambda text: text.replace("M5\nG4 P0.3\nG0 Z25", "G1 X90 Y60\nM5\nG4 P0.3\nG0 Z25", 1),
    "lit all the way": lambda text: text.replace("\nM5\n", "\n"),
}
EXCUSES = (
    "",
    "(proof: rule = gouge off it is right so)\n(proof: rule = torch-left-on off why not)\n",
    "(proof: tab = 0.0 0.0 0.0 200.0 200.0 0.0)\n(proof: role = ignore SHEET)\n",
)


@pytest.mark.parametrize("excuse", EXCUSES)
@pytest.mark.parametrize("name", list(EDITS))
def test_what_was_edited_by_hand_is_judged_like_any_program(capsys: Capture, name: str, excuse: str):
    text = rest()
    edited = EDITS[name](text)
    assert edited != text
    Path("rest.nc").write_text(edited.replace("(proof: mode", excuse + "(proof: mode", 1), encoding="ascii")
    capsys.readouterr()
    assert main(["prove", "rest.nc"]) == 1
    assert capsys.readouterr().out.startswith("NOT PROVEN")


# --- what the shop is taken for -------------------------------------------------------------------------------------


def test_a_strangers_program_in_mm_is_not_gone_on_with_in_inches(capsys: Capture):
    foreign("1.45 mm")  # the machine that is taken where nobody names one is in inches
    capsys.readouterr()
    assert main(["resume", "f.nc", "--from-cut", "6", "-o", "rest.nc"]) == 2
    err = capsys.readouterr().err
    assert "in millimetres (G21, line " in err and "contact-float-inch in inches" in err and "--machine" in err
    assert not Path("rest.nc").exists()


def test_what_a_strangers_program_does_not_say_is_named(capsys: Capture):
    foreign("1.45 mm")
    capsys.readouterr()
    words = ["resume", "f.nc", "--from-cut", "6", "-o", "rest.nc", "--machine", "contact-float-mm"]
    assert main(words) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "does not say its chart, material, thickness and kerf; taken are chart air-50a, mild steel, 3" in out
    assert "kerf 1.45 mm" in out
    heading = Path("rest.nc").read_text(encoding="ascii")
    assert "(proof: machine = contact-float-mm " in heading and "(proof: kerf = 1.450 mm)" in heading
    said = ["--chart", "air-50a", "--material", "mild steel", "--thickness", "3 mm", "--kerf", "1.45 mm"]
    assert main([*words, *said]) == 0
    assert "shop-assumed" not in capsys.readouterr().out
    assert main(["resume", "g.nc", "--from-cut", "6", "-o", "rest.nc"]) == 0
    assert "shop-assumed" not in capsys.readouterr().out


def test_the_heading_of_the_rest_is_that_of_the_machine_it_is_written_for(capsys: Capture):
    words = ["resume", "g.nc", "--from-cut", "4", "-o", "rest.nc", "--kerf", "1.6 mm"]
    main([*words, "--force"])
    assert "(proof: kerf = 1.600 mm chosen)" in Path("rest.nc").read_text(encoding="ascii")
