"""Which layers are cut: the person's rules first, then the usual words of the trade."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fnmatch import fnmatchcase

from kerfproof.parts.contour import Role

LayerRule = tuple[str, Role]
"""A shell pattern on the layer name (any case) and the role it gives."""

USUAL = {
    # Bend and axis lines end on the outline: cut, they would sever the part. English and German words.
    Role.IGNORE: (
        "bend* bieg* fold fold* kant abkant* axis axes achse* center centre centerline* centreline* mittellinie* "
        "constr* hilfs* konstr* dim dims dimension* bemass* bemaß* text* note notes notiz* border* rahmen "
        "zeichnungsrahmen* title* titleblock* schriftfeld* annot* hidden* verdeckt* defpoints phantom* "
        "schnittverlauf* hatch* schraff*"
    ).split(),
    Role.MARK: "mark marking markings marks engrav* grav* etch etching scribe* anriss* punch* koern* körn*".split(),
}
"""Patterns on the single words of a layer name."""


def role_of(layer: str, rules: Sequence[LayerRule] = ()) -> Role:
    """Return the role of a layer; the first matching rule of the person wins, then the usual words.

    >>> role_of("BEND_EXTENT"), role_of("Sketch18")
    (<Role.IGNORE: 'ignore'>, <Role.CUT: 'cut'>)
    """
    name = layer.casefold()
    for pattern, role in rules:
        if fnmatchcase(name, pattern.casefold()):
            return role
    words = re.findall(r"[^\W\d_]+", name)
    for role, patterns in USUAL.items():
        if any(fnmatchcase(word, pattern.casefold()) for word in words for pattern in patterns):
            return role
    return Role.CUT
