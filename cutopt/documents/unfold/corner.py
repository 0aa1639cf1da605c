"""Outside corners: how far each of two faces stays away from the point where they meet."""

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from cutopt.documents.shower import Rim
from cutopt.documents.surface import Edge
from cutopt.units import MM

#: Soft joints are as wide as the joint and never narrower than 1/8 in (3 mm): TCNA Handbook
#: EJ171 (read second-hand).
LEAST_SOFT_JOINT = 3 * MM


@dataclass(frozen=True, slots=True)
class Build:
    """A tile on its bed, and the joint between such tiles."""

    thickness: int
    bed: int
    joint: int

    @property
    def height(self) -> int:
        """Return how far the face of the tile stands before the substrate."""
        return self.thickness + self.bed

    @property
    def soft_joint(self) -> int:
        """Return the width of the joint at a change of plane."""
        return max(self.joint, LEAST_SOFT_JOINT)


def corner(rim: Rim, face: Build, other: Build) -> tuple[Edge, Edge]:
    """Return the edges of two faces that meet at an outside corner.

    Both are measured to the point where the faces would meet. The first is the face that
    carries the profile, the second what turns round the corner.
    """
    if rim.kind == "mitre":
        return Edge(meets="mitre"), Edge(meets="mitre")
    if rim.kind == "profile":
        seen = (rim.face or 0) - rim.offset
        deep = (face.height if rim.depth is None else rim.depth) - rim.offset
        return (
            Edge(meets="profile", set_back=seen, joint=rim.joint or face.joint),
            _behind(deep, rim.joint or other.joint),
        )
    joint = rim.joint or face.joint
    whole = Edge(meets="outside corner")
    if rim.over == "return":
        return _behind(other.thickness, joint), whole
    return whole, _behind(face.thickness, joint)


def _behind(set_back: int, joint: int) -> Edge:
    """Return an edge that ends a joint before something that stands in its way."""
    return Edge(meets="outside corner", set_back=set_back, joint=joint, factory_edge=False)


def away(edge: Edge) -> int:
    """Return how far from its edge a tile ends, at an outside corner."""
    return (edge.set_back or 0) + (edge.joint or 0)


def inside(build: Build) -> Edge:
    """Return the edge of a tile that is set against the face of another."""
    return Edge(meets="inside corner", joint=build.soft_joint)


def covered(away_from_edge: int) -> Edge:
    """Return the edge of a tile that ends behind another one."""
    return Edge(meets="covered", joint=away_from_edge)


def rise(run: int, slope: Fraction) -> int:
    """Return by how much something falls over a run.

    >>> rise(48, Fraction(1, 48))
    1
    """
    return round(run * slope)


def along(run: int, height: int) -> int:
    """Return the length of a slope, from its run and its height, to the nearest unit."""
    return (isqrt(4 * (run * run + height * height)) + 1) // 2


def centred(length: int, tile: int, joint: int, begin: int = 0) -> int:
    """Return where the first tile of a strip begins, so that its seams lie on purpose.

    A strip that one tile covers has no seam. Otherwise a tile or a joint lies in the middle,
    whichever takes fewer pieces; so both ends are equal and at least half a tile (half-tile
    rule, NAVEDTRA 14044, p. 7-23).
    """
    pitch = tile + joint
    if length <= tile:
        return begin % pitch
    middle = begin + length // 2
    on_joint = 2 * -(-(length + joint) // (2 * pitch))
    on_tile = 1 + 2 * -(-(length - tile) // (2 * pitch))
    first = middle + joint // 2 if on_joint < on_tile else middle - tile // 2
    return first % pitch
