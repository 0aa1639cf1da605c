"""Which sides of a piece must be factory edges, and where that cannot be had."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from cutopt.documents import ALL_SIDES, Side
from cutopt.geometry import Shape
from cutopt.layout.ground import Ground
from cutopt.plane import Point, Rect, box_of, edges

#: A corner rounded to the grid lies at most this far from the edge it belongs to.
SNAP = 2.0
_OPPOSITES: tuple[tuple[Side, Side], ...] = (("left", "right"), ("bottom", "top"))
#: The sides of a tile that lies turned by 90 degrees, by where they lie.
_TURNED_BACK: dict[Side, Side] = {
    "top": "right",
    "right": "bottom",
    "bottom": "left",
    "left": "top",
}


@dataclass(frozen=True, slots=True)
class Sides:
    """Sides of a piece's box in the frame of its tile, and what could not be had."""

    factory: tuple[Side, ...]
    sawn_in_sight: Literal["edge", "joint"] | None


@dataclass(slots=True)
class _Asked:
    """Sides asked for by the field joints and by edges of the surface."""

    by_joint: set[Side] = field(default_factory=set)
    by_edge: set[Side] = field(default_factory=set)
    sawn_at_edge: bool = False


def sides_of(ground: Ground, parts: Sequence[tuple[Rect, Shape, int]]) -> list[Sides]:
    """Return the sides that must be factory edges, for parts given as cell, shape and turn.

    A side in the field lies on the side of its cell and faces a grout joint; a side along the
    border follows the rule of its edge.
    """
    places = [
        (at, _side(box, a, b), a, b)
        for at, (_, shape, _) in enumerate(parts)
        for box in [box_of(shape.outer)]
        for a, b in edges(shape.outer)
    ]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for _, _, a, b in places]
    asked = [_Asked() for _ in parts]
    for (at, side, a, _), tag in zip(places, ground.nearest.tags(middles, SNAP), strict=True):
        if tag is None:
            if side and _lies_on_cell(parts[at][0], side, a):
                asked[at].by_joint.add(side)
        elif ground.rules[tag].factory_edge:
            if side:
                asked[at].by_edge.add(side)
            else:
                asked[at].sawn_at_edge = True
    return [_settled(ask, *part) for ask, part in zip(asked, parts, strict=True)]


def _side(box: Rect, a: Point, b: Point) -> Side | None:
    """Return the side of the box that an edge lies on."""
    if a[0] == b[0]:
        return "left" if a[0] == box.x else "right" if a[0] == box.right else None
    if a[1] == b[1]:
        return "bottom" if a[1] == box.y else "top" if a[1] == box.top else None
    return None


def _lies_on_cell(cell: Rect, side: Side, point: Point) -> bool:
    return {
        "left": point[0] == cell.x,
        "right": point[0] == cell.right,
        "bottom": point[1] == cell.y,
        "top": point[1] == cell.top,
    }[side]


def _settled(asked: _Asked, cell: Rect, shape: Shape, turn: int) -> Sides:
    """Give up what no tile has: two opposite factory edges on a piece narrower than the tile.

    What shows at an edge of the surface goes first; the joint then meets a sawn edge.
    """
    box = box_of(shape.outer)
    wanted = asked.by_joint | asked.by_edge
    sawn: Literal["edge", "joint"] | None = "edge" if asked.sawn_at_edge else None
    as_wide = {"left": box.width == cell.width, "bottom": box.height == cell.height}
    for first, second in _OPPOSITES:
        if {first, second} <= wanted and not as_wide[first]:
            given_up = second if first in asked.by_edge else first
            wanted.discard(given_up)
            sawn = "edge" if given_up in asked.by_edge else sawn or "joint"
    if turn:
        wanted = {_TURNED_BACK[side] for side in wanted}
    return Sides(tuple(side for side in ALL_SIDES if side in wanted), sawn)
