"""Kinds of DXF entities that are not cut, and what to say of them."""

from __future__ import annotations

_TEXT = ("TEXT", "MTEXT", "ATTRIB", "ATTDEF", "ARCALIGNEDTEXT", "RTEXT", "ACAD_TABLE")
_DIMENSION = (
    "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE",
)  # fmt: skip
_SOLID = (
    "3DFACE", "3DSOLID", "BODY", "SURFACE", "EXTRUDEDSURFACE", "LOFTEDSURFACE", "REVOLVEDSURFACE", "SWEPTSURFACE",
    "PLANESURFACE", "NURBSURFACE", "MESH", "HELIX",
)  # fmt: skip
_PICTURE = ("IMAGE", "WIPEOUT", "OLEFRAME", "OLE2FRAME", "UNDERLAY", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY")
_ENDLESS = ("XLINE", "RAY")
_VIEW = ("VIEWPORT", "LIGHT", "CAMERA", "SUN", "SECTION", "GEOPOSITIONMARKER")

TEXT, DIMENSION, SOLID = "text is not cut", "dimensions and leaders are not cut", "a body in space is no flat outline"

REASONS: dict[str, str] = {
    **dict.fromkeys(_TEXT, TEXT),
    **dict.fromkeys(_DIMENSION, DIMENSION),
    **dict.fromkeys(_SOLID, SOLID),
    **dict.fromkeys(_PICTURE, "pictures and underlays are not cut"),
    **dict.fromkeys(_ENDLESS, "an endless construction line is not cut"),
    **dict.fromkeys(_VIEW, "a view or scene setting is not cut"),
    "HATCH": "a hatch is not cut",
    "MPOLYGON": "a hatch is not cut",
}
"""What is left out because of its kind; everybody expects that."""

DOUBTFUL: dict[str, str] = {
    "SOLID": "a filled area is not cut",
    "TRACE": "a filled area is not cut",
    "REGION": "the outline of a region can't be read",
    "MLINE": "a multiple line can't be read",
    "SHAPE": "a shape from a font file can't be read",
    "ACAD_PROXY_ENTITY": "an object of another program can't be read",
    "ACAD_PROXY_OBJECT": "an object of another program can't be read",
}
"""What is left out although it may have been meant for cutting."""

UNKNOWN = "this kind of entity is not known"
