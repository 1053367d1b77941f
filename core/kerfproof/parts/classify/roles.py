"""What is cut: the person's rules first, then line types and layer names by the usual words of the trade."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import lru_cache

from kerfproof.drawing.drawing import Entity
from kerfproof.parts.model.contour import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class RolePattern:
    """A person's rule: what matches all of `layer`, `color`, `linetype` and `kind` gets `role`.

    `layer`, `linetype` and `kind` (of entity) are shell patterns in any case of letters, `color` is a colour number, a
    name or ``#rrggbb``; empty matches all. Texts are picked by their kind only, so that a rule for a layer does not
    cut what is written on it.
    """

    role: Role
    layer: str = ""
    color: str = ""
    linetype: str = ""
    kind: str = ""

    def matches(self, layer: str, color: int, rgb: str, linetype: str, kind: str = "") -> bool:
        """Return whether an entity that looks like this is meant."""
        return (
            ((kind != TEXT and not self.kind) or (bool(self.kind) and fnmatchcase(folded(kind), folded(self.kind))))
            and (not self.layer or fnmatchcase(folded(layer), folded(self.layer)))
            and (not self.linetype or fnmatchcase(folded(linetype), folded(self.linetype)))
            and (not self.color or _is_color(self.color, color, rgb))
        )

    def words(self) -> str:
        """Return what the rule picks, for people."""
        picks = (("layer", self.layer), ("colour", self.color), ("line type", self.linetype), ("kind", self.kind))
        return " and ".join(f"{what} {value}" for what, value in picks if value) or "everything"


TEXT = "TEXT"
"""Kind of the outlines of letters."""

LayerRule = tuple[str, Role]
"""A shell pattern on the layer name (any case) and the role it gives."""

COLORS = {
    "red": (1, "#ff0000"),
    "yellow": (2, "#ffff00"),
    "green": (3, "#00ff00"),
    "cyan": (4, "#00ffff"),
    "blue": (5, "#0000ff"),
    "magenta": (6, "#ff00ff"),
    "white": (7, "#ffffff"),
    "black": (7, "#000000"),
    "gray": (8, "#808080"),
    "rot": (1, "#ff0000"),
    "gelb": (2, "#ffff00"),
    "grün": (3, "#00ff00"),
    "blau": (5, "#0000ff"),
    "weiß": (7, "#ffffff"),
    "schwarz": (7, "#000000"),
    "grau": (8, "#808080"),
}
"""Colour number and true colour by name (DXF reference, colour index)."""

USUAL = {
    # Bend and axis lines end on the outline: cut, they would sever the part. English and German words.
    Role.IGNORE: (
        "bend* bieg* fold folds folding* foldline* kant abkant* axis axes achse achsen* center centers centre "
        "centres centerline* centreline* mittellinie* mittelpunkt* symmetr* constr* construction* konstr* "
        "hilf* dim dims dimension* bemass* bemaß* mass maß maße masse massl* maßl* text texte* beschrift* "
        "schrift* note notes notiz* anmerk* border* blattrand* rahmen zeichnungsrahmen* blattrahmen* title* "
        "titel* schriftfeld* zeichnungskopf* schriftkopf* stückliste* stueckliste* annot* hidden* verdeckt* "
        "unsichtbar* defpoints phantom* schnittverlauf* schnittlinie* hatch* schraff* viewport* "
        "ansichtsfenster*"
    ).split(),
    Role.MARK: "mark marking markings marks engrav* grav* etch etching scribe* anriss* punch* koern* körn*".split(),
}
"""Patterns on the single words of a layer name; where a word means cutting, too (German "Maße"), only whole words."""

AXIS_TYPES = "center* centre* mitte* phantom* dashdot* strichpunkt* achse* divide* border* *_iso0[4-9]w* *_iso1?w*"
HIDDEN_TYPES = "dashed* hidden* verdeckt* strichl* gestrich* dot* punkt* *_iso0[23]w*"
"""Line types that mean axes, and such that mean hidden or bend lines (names of the usual line type files)."""


def folded(name: str) -> str:
    """Return a name so that case and spelling of accents make no difference."""
    return unicodedata.normalize("NFKC", name).casefold()


def role_of(layer: str, rules: Sequence[LayerRule | RolePattern] = ()) -> Role:
    """Return the role of a layer; the first matching rule of the person wins, then the usual words.

    >>> role_of("BEND_EXTENT"), role_of("Sketch18")
    (<Role.IGNORE: 'ignore'>, <Role.CUT: 'cut'>)
    """
    for rule in as_rules(rules):
        if not (rule.color or rule.linetype or rule.kind) and rule.matches(layer, 7, "", ""):
            return rule.role
    return usual_role(layer)


def as_rules(rules: Sequence[LayerRule | RolePattern]) -> tuple[RolePattern, ...]:
    """Return all rules in their full form."""
    return tuple(r if isinstance(r, RolePattern) else RolePattern(role=r[1], layer=r[0]) for r in rules)


@lru_cache(maxsize=4096)
def usual_role(layer: str) -> Role:
    """Return the role that the words of a layer name mean."""
    words = re.findall(r"[^\W\d_]+", folded(re.sub(r"(?<=[a-zß-ÿ])(?=[A-ZÀ-Þ])", " ", layer)))
    for role, patterns in USUAL.items():
        if any(fnmatchcase(word, folded(pattern)) for word in words for pattern in patterns):
            return role
    return Role.CUT


@lru_cache(maxsize=1024)
def type_means(linetype: str) -> str:
    """Return ``axis`` or ``hidden`` for line types that draw what is not cut, else empty.

    >>> type_means("CENTER2"), type_means("Continuous")
    ('axis', '')
    """
    name = folded(linetype)
    for meaning, patterns in (("axis", AXIS_TYPES), ("hidden", HIDDEN_TYPES)):
        if any(fnmatchcase(name, pattern) for pattern in patterns.split()):
            return meaning
    return ""


def chosen_role(entity: Entity, rules: Sequence[RolePattern]) -> Role | None:
    """Return the role that a person's rule gives an entity, None if none does."""
    for rule in rules:
        if rule.matches(entity.layer, entity.color, entity.rgb, entity.linetype, entity.kind):
            return rule.role
    return Role.IGNORE if entity.kind == TEXT else None


def picks_text(rules: Sequence[LayerRule | RolePattern]) -> bool:
    """Return whether a rule of the person makes anything of texts."""
    return any(
        rule.kind and rule.role is not Role.IGNORE and fnmatchcase(folded(TEXT), folded(rule.kind))
        for rule in as_rules(rules)
    )


def _is_color(wanted: str, color: int, rgb: str) -> bool:
    name = folded(wanted).replace("grey", "gray").strip()
    if name.startswith("#"):
        return rgb == name or (not rgb and any(aci == color and true == name for aci, true in COLORS.values()))
    if name in COLORS:
        aci, true = COLORS[name]
        return rgb == true if rgb else color == aci
    return not rgb and name.isdigit() and int(name) == color
