"""Returns unfolded: an opening becomes a finished hole, and sill, head, jambs and back surfaces.

Every surface is seen from the room, standing before it. x of sill and head runs along the wall;
x of a jamb runs into the wall (left jamb) or out of it (right jamb). The front of a return is the
line where its face would meet the face of the wall; from there its depth is measured.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from cutopt.documents.laying import Start
from cutopt.documents.shower import Returns
from cutopt.documents.surface import Edge, Opening, Surface
from cutopt.documents.unfold.corner import (
    Build,
    along,
    away,
    centred,
    corner,
    covered,
    inside,
    rise,
)
from cutopt.documents.unfold.trade import Placed, Style, Trade
from cutopt.plane import Point, Rect

#: Side of the opening by the return that lines it.
_SIDE = {"sill": "bottom", "head": "top", "left": "left", "right": "right"}
_LETTER = {"back": "B", "sill": "S", "head": "H", "left": "L", "right": "R"}
_TITLE = {
    "back": "back of the {}",
    "sill": "sill of the {}",
    "head": "head of the {}",
    "left": "left jamb of the {}",
    "right": "right jamb of the {}",
}


@dataclass(frozen=True, slots=True)
class Lined:
    """An opening with its returns: the measures that all of them share."""

    place: str
    wall: Surface
    opening: Opening
    returns: Returns
    trade: Trade

    def style(self, side: str) -> Style:
        """Return how a side is laid."""
        return Style.of(self.returns.laying_of(side), self.wall.tile, self.wall.joint)

    def build(self, side: str) -> Build:
        """Return the tile of a side on its bed; nothing where a side is not lined."""
        if side not in self.returns.sides and side != "back":
            return Build(0, 0, self.wall.joint)
        style = self.style(side)
        return self.trade.build(style.tile, style.joint)

    @property
    def wall_build(self) -> Build:
        """Return the tile of the wall on its bed."""
        return self.trade.build(self.wall.tile, self.wall.joint)

    @property
    def hole(self) -> Rect:
        """Return the opening as it was measured, at the substrate."""
        opening = self.opening
        return Rect(opening.x or 0, opening.y or 0, opening.width or 0, opening.height or 0)

    @property
    def finished(self) -> Rect:
        """Return the opening between the faces of its returns, at the front."""
        hole, left, bottom = self.hole, self.build("left").height, self.build("sill").height
        width = hole.width - left - self.build("right").height
        height = hole.height - bottom - self.build("head").height
        return Rect(hole.x + left, hole.y + bottom, width, height)

    @property
    def depth(self) -> int:
        """Return the depth between the face of the wall and the frame, or the face of the back."""
        deep: int = self.returns.depth + self.wall_build.height
        return deep if self.returns.back is None else deep - self.build("back").height

    @property
    def rise(self) -> int:
        """Return by how much the sill rises from front to back."""
        return rise(self.depth, self.returns.pitch) if "sill" in self.returns.sides else 0

    def edges(self, side: str) -> tuple[Edge, Edge]:
        """Return the edge of the wall at a side, and the front edge of the return."""
        return corner(self.returns.rim_of(side), self.wall_build, self.build(side))

    @property
    def back_edge(self) -> Edge:
        """Return the edge of a return at the frame, or at the back of a niche."""
        joint = self.build(self.returns.sides[0]).soft_joint
        meets: Any = "inside corner" if self.returns.back is not None else "frame"
        return Edge(meets=meets, joint=joint)

    def surface(self, side: str, shape: dict[str, Any], start: Start) -> Placed:
        """Return the surface of a side with its pointer."""
        title = _TITLE[side].format(self.opening.title or self.opening.kind)
        mark = self.returns.id + _LETTER[side]
        return f"{self.place}/returns/{side}", self.style(side).surface(mark, title, shape, start)


def finished_opening(lined: Lined) -> Opening:
    """Return the opening as the wall sees it: between the faces of the returns."""
    edges = dict(lined.opening.edges)
    edges |= {_SIDE[side]: lined.edges(side)[0] for side in lined.returns.sides}
    finished = lined.finished
    return lined.opening.model_copy(update={**finished._asdict(), "edges": edges})


def returns_of(lined: Lined) -> Iterator[Placed]:
    """Return the surfaces in the order in which they are set: back, sill, head, jambs."""
    if lined.returns.back is not None:
        yield _back(lined)
    for side in ("sill", "head"):
        if side in lined.returns.sides:
            yield _level(lined, side)
    for side in ("left", "right"):
        if side in lined.returns.sides:
            yield _jamb(lined, side)


def _back(lined: Lined) -> Placed:
    """Return the back: set first, its edges behind the returns."""
    hole, joint = lined.hole, lined.build("back").soft_joint
    tile = lined.trade.tile(lined.style("back").tile)
    width, height = hole.width - 2 * joint, hole.height - 2 * joint
    gap = lined.style("back").joint
    start = Start(
        x=centred(width, tile.width, gap, joint), y=centred(height, tile.height, gap, joint)
    )
    shape = {"width": hole.width, "height": hole.height, "edges": {"all": covered(joint)}}
    return lined.surface("back", shape, start)


def _level(lined: Lined, side: str) -> Placed:
    """Return sill or head: from jamb to jamb, their ends behind the jambs.

    The front of a sill is below, that of a head above, as one looks at them.
    """
    front = lined.edges(side)[1]
    length = along(lined.depth, lined.rise) if side == "sill" else lined.depth
    left, right = (_end(lined, end, front) for end in ("left", "right"))
    below, above = (front, lined.back_edge) if side == "sill" else (lined.back_edge, front)
    shape = {
        "width": lined.hole.width,
        "height": length,
        "edges": {"left": left, "right": right, "bottom": below, "top": above},
    }
    style = lined.style(side)
    tile = lined.trade.tile(style.tile)
    begin, free = away(left), lined.hole.width - away(left) - away(right)
    first = away(front)
    up = first if side == "sill" else (length - first - tile.height) % (tile.height + style.joint)
    start = Start(x=centred(free, tile.width, style.joint, begin), y=up)
    return lined.surface(side, shape, start)


def _end(lined: Lined, jamb: str, front: Edge) -> Edge:
    """Return the end of sill or head at a jamb: as far behind its face as there is room.

    Where the front comes before the back of the wall's tile, the end keeps clear of that tile.
    """
    build = lined.build(jamb)
    if jamb not in lined.returns.sides:
        return inside(build)
    wall = lined.wall_build
    behind = build.height - build.soft_joint
    if away(front) < wall.thickness + wall.joint:
        behind = min(behind, max(0, away(lined.edges(jamb)[0]) - wall.joint))
    return covered(build.height - max(0, behind))


def _jamb(lined: Lined, side: str) -> Placed:
    """Return a jamb: it stands on the pitched sill and carries the head."""
    depth, height, up = lined.depth, lined.finished.height, lined.rise
    style, build = lined.style(side), lined.build(side)
    front = lined.edges(side)[1]
    foot = inside(build) if "sill" in lined.returns.sides else Edge(meets="floor")
    head = inside(build)
    tile = lined.trade.tile(style.tile)
    pitch = tile.width + style.joint
    if side == "left":
        corners: tuple[Point, ...] = ((0, 0), (depth, up), (depth, height), (0, height))
        sides, x = (foot, lined.back_edge, head, front), away(front) % pitch
    else:
        corners = ((0, up), (depth, 0), (depth, height), (0, height))
        sides, x = (foot, front, head, lined.back_edge), (depth - away(front) - tile.width) % pitch
    edges = {str(at): edge for at, edge in enumerate(sides, 1)}
    start = Start(x=x, y=_course(lined, style, tile.height, build))
    return lined.surface(side, {"outline": corners, "edges": edges}, start)


def _course(lined: Lined, style: Style, tall: int, build: Build) -> int:
    """Return where a course of a jamb begins: on a course of the wall, where both agree."""
    wall, start = lined.wall, lined.wall.start
    same = lined.trade.tile(wall.tile).height == tall and wall.joint == style.joint
    level = wall.bond.angle == 0 and wall.bond.along == "rows" and wall.bond.kind != "herringbone"
    if start is None or not same or not level:
        return build.soft_joint % (tall + style.joint)
    course: int = (start.point[1] if start.point else 0) + start.y
    if start.of == "centre":
        course -= tall // 2
    return (course - lined.finished.y) % (tall + style.joint)
