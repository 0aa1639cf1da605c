"""A curb, seat, ledge or half wall unfolded: top, long faces and ends.

Seen from the inner side, to which the top falls. The top's face lies lowest along its inner edge,
one tile and bed above the substrate. Long faces run from end to end, ends stand between them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from cutopt.documents.laying import Start
from cutopt.documents.shower import Block
from cutopt.documents.surface import Edge
from cutopt.documents.unfold.corner import Build, along, away, centred, corner, inside, rise
from cutopt.documents.unfold.trade import Placed, Style, Trade

_LETTER = {"top": "T", "inner": "N", "outer": "O", "left": "L", "right": "R"}
_TITLE = {
    "top": "top of the {}",
    "inner": "inner face of the {}",
    "outer": "outer face of the {}",
    "left": "left end of the {}",
    "right": "right end of the {}",
}


@dataclass(frozen=True, slots=True)
class Solid:
    """A block with the measures that its surfaces share, from face to face."""

    place: str
    block: Block
    trade: Trade

    def style(self, side: str) -> Style:
        """Return how a side is laid."""
        joint = self.block.laying.joint or 0
        top = self.block.top if side == "top" else None
        return Style.of(top or self.block.laying, self.block.laying.tile, joint)

    def build(self, side: str) -> Build:
        """Return the tile of a side on its bed; nothing where a side is not tiled."""
        style = self.style(side)
        if side != "top" and side not in self.block.tiled:
            return Build(0, 0, style.joint)
        return self.trade.build(style.tile, style.joint)

    @property
    def length(self) -> int:
        """Return the length between the faces of the ends, or the walls in their place."""
        measured: int = self.block.length
        return measured + self.build("left").height + self.build("right").height

    @property
    def run(self) -> int:
        """Return the level width between the faces of the long sides."""
        measured: int = self.block.width
        return measured + self.build("inner").height + self.build("outer").height

    @property
    def rise(self) -> int:
        """Return by how much the top rises from the inner to the outer side."""
        return rise(self.run, self.block.pitch)

    @property
    def low(self) -> int:
        """Return the height of the inner face, up to the face of the top."""
        measured: int = self.block.height
        return measured + self.build("top").height

    def has(self, side: str) -> bool:
        """Tell whether a side is tiled, and does not stand against a wall."""
        return side in self.block.tiled

    def at_top(self, side: str) -> tuple[Edge, Edge]:
        """Return the upper edge of a side and the edge of the top that it meets."""
        if not self.has(side):
            return inside(self.build(side)), inside(self.build("top"))
        return corner(self.block.rim_of(side), self.build(side), self.build("top"))

    def upright(self, end: str, long_side: str) -> tuple[Edge, Edge]:
        """Return the edges of a long face and of an end where they meet, or a wall."""
        face, other = self.build(long_side), self.build(end)
        if not self.has(end):
            return inside(face), inside(other)
        if not self.has(long_side):
            return inside(face), inside(other)
        return corner(self.block.rim_of(end), face, other)

    def surface(self, side: str, shape: dict[str, Any], begin: tuple[int, int]) -> Placed:
        """Return the surface of a side with its pointer, its seams set on purpose."""
        style, (x, width) = self.style(side), begin
        tile = self.trade.tile(style.tile)
        name = self.block.title or self.block.kind
        first = away(shape["edges"].get("bottom") or shape["edges"]["1"])
        start = Start(
            x=centred(width, tile.width, style.joint, x), y=first % (tile.height + style.joint)
        )
        title = _TITLE[side].format(name)
        mark = self.block.id + _LETTER[side]
        return f"{self.place}/{side}", style.surface(mark, title, shape, start)


def surfaces_of_block(place: str, block: Block, trade: Trade) -> Iterator[Placed]:
    """Return the surfaces of a block in the order in which they are set: faces, ends, top."""
    solid = Solid(place, block, trade)
    for side in ("inner", "outer"):
        if solid.has(side):
            yield _long_face(solid, side)
    for side in ("left", "right"):
        if solid.has(side):
            yield _end(solid, side)
    yield _top(solid)


def _foot(build: Build) -> Edge:
    return Edge(meets="floor", joint=build.soft_joint)


def _long_face(solid: Solid, side: str) -> Placed:
    """Return the inner face, or the outer one as it is seen from outside: the other way round."""
    ends = ("left", "right") if side == "inner" else ("right", "left")
    left, right = (solid.upright(end, side)[0] for end in ends)
    edges = {
        "left": left,
        "right": right,
        "bottom": _foot(solid.build(side)),
        "top": solid.at_top(side)[0],
    }
    height = solid.low + (solid.rise if side == "outer" else 0)
    shape = {"width": solid.length, "height": height, "edges": edges}
    return solid.surface(side, shape, _free(solid.length, left, right))


def _end(solid: Solid, side: str) -> Placed:
    """Return an end: a trapezoid that follows the pitch of the top."""
    low, high, run = solid.low, solid.low + solid.rise, solid.run
    first, second = ("outer", "inner") if side == "left" else ("inner", "outer")
    heights = (high, low) if side == "left" else (low, high)
    corners = ((0, 0), (run, 0), (run, heights[1]), (0, heights[0]))
    before, after = solid.upright(side, first)[1], solid.upright(side, second)[1]
    sides = (_foot(solid.build(side)), after, solid.at_top(side)[0], before)
    edges = {str(at): edge for at, edge in enumerate(sides, 1)}
    return solid.surface(side, {"outline": corners, "edges": edges}, _free(run, before, after))


def _top(solid: Solid) -> Placed:
    """Return the top: its inner edge below, as one looks down on it from the inner side."""
    left, right = (solid.at_top(end)[1] for end in ("left", "right"))
    edges = {
        "left": left,
        "right": right,
        "bottom": solid.at_top("inner")[1],
        "top": solid.at_top("outer")[1],
    }
    shape = {"width": solid.length, "height": along(solid.run, solid.rise), "edges": edges}
    return solid.surface("top", shape, _free(solid.length, left, right))


def _free(length: int, left: Edge, right: Edge) -> tuple[int, int]:
    """Return where the tiles of a strip begin, and how much they cover."""
    return away(left), length - away(left) - away(right)
