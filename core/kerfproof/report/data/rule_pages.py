"""The pages of the rules, as they stand at the top of each rule's file, and of all else that is told."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import whole_page
from kerfproof.registry import load_folder

FOLDERS = (("kerfproof.proof.rules", "RULE"), ("kerfproof.proof.checks", "CHECK"))


@dataclass(frozen=True, slots=True)
class RulePage:
    """One rule for people: `title` is the first line of its page, `page` the whole."""

    name: str
    severity: Severity
    title: str
    page: str


def rules() -> tuple[RulePage, ...]:
    """Return the pages of all rules on programs, and of what the comparison and the simulated tables tell, by name."""
    made = []
    for folder, constant in FOLDERS:
        pages = load_folder(folder, "__doc__")
        for module, rule in load_folder(folder, constant).items():
            page = whole_page(pages[module] or "")
            made.append(RulePage(rule.name, rule.severity, page.splitlines()[0] if page else "", page))
    return tuple(sorted(made, key=lambda page: page.name))


OTHERS = "kerfproof.report.pages"
_PAGE = re.compile(r"(?P<name>[a-z0-9-]+)\n(?P<page>(?P<title>.+)\nMatters: .+\nDo: .+)")


@dataclass(frozen=True, slots=True)
class ShortPage:
    """What is told of a drawing, a plan, a reading or a program and is no rule; `field` is its file's first line."""

    name: str
    title: str
    page: str
    field: str


def short_pages() -> tuple[ShortPage, ...]:
    """Return the pages of all that is told and is no rule, by name.

    Raises
    ------
    ValueError
        If one of them is not a name, a title, why it matters and what to do.
    """
    out = []
    fields = load_folder(OTHERS, "__doc__")
    for module, text in load_folder(OTHERS, "PAGES").items():
        for block in text.strip().split("\n\n"):
            found = _PAGE.fullmatch(block)
            if found is None:
                raise ValueError(f"a page of {module} lacks something: {block.splitlines()[0]}")
            page = found["page"].replace("\n", "\n\n")
            out.append(ShortPage(found["name"], found["title"], page, fields[module].strip()))
    return tuple(sorted(out, key=lambda page: page.name))


OPENING = "M5\nG17 G40 G49 G80\nG90 G94\nG21\nG54\nG64 P0.05\nF6000\n"
FIND = "G4 P0.2\nG92 Z0\nG38.2 Z-84 F150\nG4 P0.2\nG92 Z-19.05\nG4 P0.1\nG1 Z-1 F1000\n"
LIGHT = "M3\nG4 P0.4\nG1 Z3 F900\nG4 P0.3\nG1 Z1.5 F900\n"
_TOUCHED = f"{OPENING}G0 X{{x}} Y{{y}}\n{FIND}"
GIVEN = {"head": OPENING, "touched": _TOUCHED, "burning": _TOUCHED + LIGHT}
"""The lines that ``Given`` stands for: modes at the top; and the plate found over a place; and the torch lit there."""
USUAL = ("10", "50")
"""X and Y where ``Given`` names no place."""
_GIVEN = re.compile(r"^    Given: (\w+)(?: at ([\d.-]+) ([\d.-]+))?$", re.MULTILINE)


def given_lines(page: str) -> str:
    """Return what the ``Given`` lines of a page's examples stand for, as a paragraph with its lines; empty for none."""
    out = []
    for line in dict.fromkeys(match[0] for match in _GIVEN.finditer(page)):
        match = _GIVEN.fullmatch(line)
        if match and match[1] in GIVEN:
            x, y = match[2] or USUAL[0], match[3] or USUAL[1]
            program = GIVEN[match[1]].format(x=x, y=y)
            out.append(f"{line.strip()} stands for\n\n" + "".join(f"    {one}\n" for one in program.splitlines()))
    return "\n".join(out)


HEAD = """# What a program is judged by

Every program, ours or anyone's, is read as its control would read it, played on simulated tables, and compared with
the drawing. This page lists all that can be found wrong. It is made from the rules themselves: the bad and the good
example of each are run by the tests. `Given` in an example names what stands before it: `head` the lines that set the
modes, `touched at X Y` the plate found over that place, too, `burning at X Y` the torch lit there, too, `none` nothing.
`kerfproof rules NAME` writes those lines out.

An error means that the program is not proven; a warning or a note means that you should know. A rule can be weighed
otherwise, or silenced, for one machine, with a reason; the verdict still counts it. A job can do so, too, but makes
less of no error, and a warning that it silences leaves one behind:

    [rules]
    cut-longer-than-flat = "off: the sheet is clamped all round"
    duty-over = "note: the supply was measured at 45 %"
"""


def guide() -> str:
    """Return the guide's page on all rules as Markdown, errors first."""
    pages = rules()
    out = [HEAD]
    for severity, title in ((Severity.ERROR, "Errors"), (Severity.WARNING, "Warnings"), (Severity.NOTE, "Notes")):
        found = [page for page in pages if page.severity is severity]
        out.append(f"## {title}\n")
        out.append("\n".join(f"- [{page.name}](#{page.name}): {page.title}" for page in found) + "\n")
        out += [f"### {page.name}\n\n{_markdown(page.page)}\n" for page in found]
    short = short_pages()
    for field in sorted({page.field for page in short}):
        out.append(f"## {field.rstrip('.')}\n")
        out += [f"### {page.name}\n\n{_markdown(page.page)}\n" for page in short if page.field == field]
    return "\n".join(out)


def _markdown(page: str) -> str:
    """Return a page with its examples as Markdown knows them: the same indented blocks after a plain colon."""
    lines = page.splitlines()
    lines[0] = f"**{lines[0]}**"
    return "\n".join(line[:-1] if line in ("Bad::", "Good::") else line for line in lines)
