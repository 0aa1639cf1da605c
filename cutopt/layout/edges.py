"""What each edge of a surface asks for: its joint, what fills it, and which tile edge shows."""

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.documents import Area, Edge, Meets, Surface
from cutopt.documents.surface import Drain, Obstacle, Opening, Through
from cutopt.layout.model import EdgeRule, Filler
from cutopt.plane import Point, doubled_area, edges
from cutopt.units import MM

#: Soft joints at a change of plane and at other perimeters are as wide as the joint and never
#: narrower than 1/8 in (3 mm): TCNA Handbook EJ171 (read second-hand).
LEAST_SOFT_JOINT = 3 * MM
#: The edges of a four-sided shape in the order of its corners, from the lower left.
SIDES = ("bottom", "right", "top", "left")


@dataclass(frozen=True, slots=True)
class Custom:
    """What the trade does at an edge when the job says nothing else."""

    soft: bool
    factory_edge: bool
    flush: bool = False
    halved: bool = False

    @property
    def filler(self) -> Filler:
        """Return what fills the joint, if there is one."""
        return "sealant" if self.soft else "grout"

    def joint(self, joint: int) -> int:
        """Return the width of the joint at this edge, given that between the tiles."""
        if self.flush:
            return 0
        if self.halved:
            return (joint + 1) // 2
        return max(joint, LEAST_SOFT_JOINT) if self.soft else joint


# Sealant at every inside corner and perimeter: TCNA Handbook EJ171, ANSI A108.02 4.4 (read
# second-hand). Factory edges to open ends and outside corners: common practice, no source.
CUSTOMS: dict[Meets, Custom] = {
    "inside corner": Custom(soft=True, factory_edge=False),
    "floor": Custom(soft=True, factory_edge=False),
    "ceiling": Custom(soft=True, factory_edge=False),
    "fixture": Custom(soft=True, factory_edge=False),
    "frame": Custom(soft=True, factory_edge=False),
    "profile": Custom(soft=False, factory_edge=False),
    "outside corner": Custom(soft=False, factory_edge=True, flush=True),
    "open": Custom(soft=False, factory_edge=True, flush=True),
    # Both tiles run to the point of the corner; the edge is sawn at 45 degrees.
    "mitre": Custom(soft=False, factory_edge=False, flush=True),
    # The end of a tile behind another one: nothing to fill, nothing to see.
    "covered": Custom(soft=False, factory_edge=False, flush=True),
    # Two planes of a floor meet: each keeps half a joint from the line.
    "fall line": Custom(soft=False, factory_edge=False, halved=True),
    "drain": Custom(soft=False, factory_edge=False),
}


@dataclass(frozen=True, slots=True)
class Measured:
    """An outline, anticlockwise, with a rule for each of its edges."""

    outline: tuple[Point, ...]
    rules: tuple[EdgeRule, ...]

    @property
    def joints(self) -> list[int]:
        """Return how far from each edge the tiles end."""
        return [rule.away for rule in self.rules]


def measured(place: str, item: Surface | Area, joint: int) -> Measured:
    """Return a surface, an opening or an obstacle with the rules of its edges."""
    count = len(item.corners)
    names = SIDES if item.outline is None else tuple(str(at + 1) for at in range(count))
    corners = item.corners
    if doubled_area(corners) < 0:
        # Measured clockwise: walked the other way, each edge keeps its name.
        corners, names = corners[::-1], (*names[-2::-1], names[-1])
    rules = []
    for name, (start, end) in zip(names, edges(corners), strict=True):
        edge = item.edges.get(name) or item.edges.get("all") or Edge(meets=_default(item, name))
        custom = CUSTOMS[edge.meets]
        width = custom.joint(joint) if edge.joint is None else edge.joint
        factory = custom.factory_edge if edge.factory_edge is None else edge.factory_edge
        filler = custom.filler if width and edge.meets != "covered" else "nothing"
        back = edge.set_back or 0
        rules.append(EdgeRule(place, name, edge.meets, width, filler, factory, start, end, back))
    return Measured(corners, tuple(rules))


def _default(item: Surface | Area, name: str) -> Meets:
    if isinstance(item, Opening):
        return "profile" if item.kind == "niche" else "frame"
    if isinstance(item, Obstacle):
        return "fixture"
    if isinstance(item, Surface) and item.kind == "wall":
        by_side: dict[str, Meets] = {"bottom": "floor", "top": "ceiling"}
        return by_side.get(name, "inside corner")
    return "inside corner"


def around(place: str, part: Through | Drain, corners: Sequence[Point], joint: int) -> Measured:
    """Return what comes through a surface with the rules of its edges.

    A hole stays open behind its plate; a drain is grouted, as no soft joint is asked for
    there (TCNA Handbook EJ171, read second-hand).
    """
    meets, width, filler = _around(part, joint)
    rules = (
        EdgeRule(place, str(at + 1), meets, width, filler, False, start, end)
        for at, (start, end) in enumerate(edges(corners))
    )
    return Measured(tuple(corners), tuple(rules))


def _around(part: Through | Drain, joint: int) -> tuple[str, int, Filler]:
    if isinstance(part, Through):
        return part.kind, part.clearance, "nothing"
    width = joint if part.joint is None else part.joint
    return "drain", width, "grout" if width else "nothing"
