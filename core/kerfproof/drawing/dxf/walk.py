"""All entities of a drawing, block references unfolded, with the frame each lies in and whether it shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.entities.dxfentity import DXFTagStorage
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.layouts.layout import Layout
from ezdxf.xclip import XClip

from kerfproof.drawing.dxf.frame import BlockTransform, object_axes
from kerfproof.errors import KerfproofError
from kerfproof.geom.path import Floats

MOST_ENTITIES = 3_000_000
"""A drawing that unfolds to more is refused; nested arrays can hold billions."""


NOWHERE = "a number of its block reference is not finite, or its extrusion has no direction"


BY_LAYER, BY_BLOCK = 256, 0
"""Colour numbers that hand the choice on."""


@dataclass(frozen=True, slots=True)
class Look:
    """What an entity looks like, nothing handed on: colour number, line type, true colour (``#rrggbb``, or empty)."""

    color: int = 7
    linetype: str = "CONTINUOUS"
    rgb: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """One entity in its frame. `left_out` says why it is not to be read, empty if it is. `broken` marks faults.

    `block_look` is the look of the block reference around it, `clips` are the boundaries (n, 2), mm, of all clipped
    references around it.
    """

    entity: DXFGraphic
    frame: BlockTransform
    layer: str
    handle: str
    left_out: str = ""
    broken: bool = False
    block_look: Look = Look()
    clips: tuple[Floats, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Around:
    """What the blocks around an entity hand down."""

    frame: BlockTransform
    layer: str
    handles: str
    left_out: str
    blocks: tuple[str, ...]
    look: Look = Look()
    clips: tuple[Floats, ...] = ()


class Walk:
    """Goes through the layouts of one document."""

    def __init__(self, document: Document, mm_per_unit: float) -> None:
        self._document = document
        self._frame = BlockTransform.scaled(mm_per_unit)
        self._layers: dict[str, str] = {}
        self._looks: dict[str, Look] = {}
        self._counts: dict[str, int] = {}

    def count(self) -> int:
        """Return how many entities the layouts hold, block references unfolded, by counting alone.

        Raises
        ------
        KerfproofError
            If there are too many.
        """
        model = self._document.modelspace()
        total = sum(self._count(layout, ()) for layout in (model, *self._papers(model)))
        if total > MOST_ENTITIES:
            what = f"its blocks unfold to {total} entities, more than {MOST_ENTITIES} can't be handled"
            raise KerfproofError(what, advice="explode what is needed and delete the rest")
        return total

    def _count(self, entities: Iterable[DXFGraphic], inside: tuple[str, ...]) -> int:
        return sum(self._count_one(e, inside) for e in entities)

    def _count_one(self, entity: DXFGraphic, inside: tuple[str, ...]) -> int:
        if not isinstance(entity, Insert):
            return 1
        block, fault = self._block(entity, inside)
        if block is None or fault:
            return 1 + len(entity.attribs)
        key = block.name.lower()
        if key not in self._counts:
            self._counts[key] = self._count(block, (*inside, key))
        columns, rows = _array(entity)
        return columns * rows * self._counts[key] + len(entity.attribs)

    def entities(self) -> Iterator[Found]:
        """Yield all entities of the model space, then those of the paper spaces, in the order of the file."""
        model = self._document.modelspace()
        yield from self._unfold(model, _Around(self._frame, "", "", "", ()))
        for layout in self._papers(model):
            yield from self._unfold(layout, _Around(self._frame, "", "", "it lies in paper space", ()))

    def _papers(self, model: Layout) -> list[Layout]:
        """Return the paper spaces; a damaged file may hold the model space twice."""
        return [layout for layout in self._document.layouts if layout.name != model.name]

    def _unfold(self, entities: Iterable[DXFGraphic], around: _Around) -> Iterator[Found]:
        for entity in entities:
            layer = readable(_layer(entity))
            if layer == "0" and around.layer:
                layer = around.layer  # what is drawn on layer 0 of a block takes the layer of its reference
            handle = f"{around.handles}{entity.dxf.handle or ''}"
            if isinstance(entity, Insert):
                yield from self._insert(entity, layer, handle, around)
                continue
            left_out = around.left_out or self._hidden(layer)
            if not left_out and entity.dxf.hasattr("invisible") and entity.dxf.invisible:
                left_out = "it is set invisible"
            yield Found(entity, around.frame, layer, handle, left_out, block_look=around.look, clips=around.clips)

    def _insert(self, entity: Insert, layer: str, handle: str, around: _Around) -> Iterator[Found]:
        left_out = around.left_out or self._hidden(layer, frozen_only=True)
        if not left_out and entity.dxf.get("invisible", 0):
            left_out = "its block reference is set invisible"
        for attrib in entity.attribs:
            yield Found(attrib, around.frame, layer, f"{handle}/{attrib.dxf.handle or ''}", left_out)
        block, fault = self._block(entity, around.blocks)
        if block is None or fault:
            yield Found(entity, around.frame, layer, handle, left_out or fault, broken=not left_out)
            return
        blocks = (*around.blocks, block.name.lower())
        look, boundary = self.look(entity, layer, around.look), _boundary(entity)
        for frame in _frames(entity, block, around.frame):
            clips = around.clips
            if boundary is not None and frame is not None:
                clips = (*clips, (boundary @ frame.linear.T + frame.shift)[:, :2])
            inner = _Around(frame or around.frame, layer, f"{handle}/", left_out, blocks, look, clips)
            for found in self._unfold(block, inner):
                yield (found if frame else _left_out(found, NOWHERE))

    def _block(self, entity: Insert, inside: tuple[str, ...]) -> tuple[BlockLayout | None, str]:
        """Return the block of a reference, or what is wrong with it."""
        name = entity.dxf.get("name", "")
        block = self._document.blocks.get(name)
        if block is None:
            return None, f"its block '{readable(name)}' is missing"
        if not entity.dxf.hasattr("insert"):
            return block, "its insert is missing"
        if block.name.lower() in inside:
            return block, f"its block '{readable(name)}' holds itself"
        if block.block is not None and block.block.is_xref:
            return block, f"its block '{readable(name)}' lies in another file"
        return block, ""

    def look(self, entity: DXFGraphic, layer: str, block: Look) -> Look:
        """Return the look of an entity on `layer` in a block reference that looks like `block`."""
        dxf = entity.dxf
        color, linetype = dxf.get("color", BY_LAYER), str(dxf.get("linetype", "BYLAYER"))
        true = dxf.get("true_color", None)
        word = linetype.upper()
        if color not in (BY_LAYER, BY_BLOCK) and true is None and word not in ("BYLAYER", "BYBLOCK"):
            return Look(color, readable(linetype))
        own = self._layer_look(layer)
        named = own.linetype if word == "BYLAYER" else block.linetype if word == "BYBLOCK" else readable(linetype)
        if true is not None:
            return Look(color if color not in (BY_LAYER, BY_BLOCK) else own.color, named, f"#{true & 0xFFFFFF:06x}")
        if color in (BY_LAYER, BY_BLOCK):
            given = own if color == BY_LAYER else block
            return Look(given.color, named, given.rgb)
        return Look(color, named)

    def _layer_look(self, layer: str) -> Look:
        if layer not in self._looks:
            look = Look()
            if layer in self._document.layers:
                dxf = self._document.layers.get(layer).dxf
                true = dxf.get("true_color", None)
                rgb = "" if true is None else f"#{true & 0xFFFFFF:06x}"
                look = Look(abs(dxf.get("color", 7)), readable(dxf.get("linetype", "CONTINUOUS")), rgb)
            self._looks[layer] = look
        return self._looks[layer]

    def _hidden(self, layer: str, *, frozen_only: bool = False) -> str:
        """Return why what lies on a layer does not show, empty if it does."""
        if layer not in self._layers:
            state = ""
            if layer in self._document.layers:
                entry = self._document.layers.get(layer)
                state = "frozen" if entry.is_frozen() else "off" if entry.is_off() else ""
            self._layers[layer] = state
        state = self._layers[layer]
        return f"its layer {layer} is {state}" if state and not (frozen_only and state == "off") else ""


def _boundary(entity: Insert) -> Floats | None:
    """Return the clipping boundary (n, 3) of a block reference in the block's coordinates, None if there is none."""
    if not entity.has_extension_dict:
        return None
    clip = XClip(entity)
    if not clip.has_clipping_path or not clip.is_clipping_enabled:
        return None
    corners = [(v.x, v.y, 0.0) for v in clip.get_block_clipping_path().vertices]
    return np.array(corners, dtype=np.float64) if len(corners) > 2 else None


def _left_out(found: Found, why: str) -> Found:
    return Found(found.entity, found.frame, found.layer, found.handle, found.left_out or why, broken=True)


def _array(entity: Insert) -> tuple[int, int]:
    """Return columns and rows of a block reference, at least one each."""
    return max(1, entity.dxf.get("column_count", 1)), max(1, entity.dxf.get("row_count", 1))


def _frames(entity: Insert, block: BlockLayout, parent: BlockTransform) -> Iterator[BlockTransform | None]:
    """Yield the frame of each copy of the block; None where it has no size or direction."""
    dxf = entity.dxf
    columns, rows = _array(entity)
    # A z scale of 0 would only flatten what is flat; files hold it by mistake.
    scale = np.array([dxf.get("xscale", 1.0), dxf.get("yscale", 1.0), dxf.get("zscale", 1.0) or 1.0])
    angle = np.radians(dxf.get("rotation", 0.0))
    try:
        axes = object_axes(dxf.extrusion.xyz)
    except ValueError:
        scale[:] = 0.0
    insert = np.array(dxf.get("insert", (0.0, 0.0, 0.0)), dtype=np.float64)
    base = np.array(block.base_point, dtype=np.float64) if block.block is not None else np.zeros(3)
    if not scale.all() or not np.isfinite([*scale, angle, *insert, *base]).all():
        yield from [None] * (columns * rows)
        return
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    linear = axes @ turn @ np.diag(scale)
    for row in range(rows):
        for column in range(columns):
            # The spacing turns with the reference but is not scaled.
            step = np.array([column * dxf.get("column_spacing", 0.0), row * dxf.get("row_spacing", 0.0), 0.0])
            yield parent.child(linear, axes @ (insert + turn @ step) - linear @ base)


def _layer(entity: DXFGraphic) -> str:
    """Return the layer name as the file has it, of entities that the library does not know, too."""
    if isinstance(entity, DXFTagStorage):
        named = (tags.get_first_value(8, "") for tags in entity.xtags.subclasses)
        return next(filter(None, map(str, named)), "0")
    if not entity.dxf.is_supported("layer"):  # something that only a damaged file holds among its entities
        return "0"
    return str(entity.dxf.get("layer", "0"))


def readable(name: Any) -> str:
    """Return a name without half characters, which no text encoding can write."""
    text = str(name)
    return text if text.isascii() else text.encode("utf-8", "replace").decode("utf-8")
