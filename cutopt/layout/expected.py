"""For the check: what a surface offers and which cells its bond has, read off the job alone.

Nothing here is used by the take-off, and nothing of the take-off is used here.
"""

import math
from fractions import Fraction

from cutopt.documents import Area, Edge, Job, JobTile, Surface
from cutopt.documents.surface import Drain, Through
from cutopt.geometry.audit import Field
from cutopt.geometry.lattice import Lattice
from cutopt.plane import Point, doubled_area
from cutopt.units import INCH, MM

_SOFT = {"inside corner", "floor", "ceiling", "fixture", "frame"}
_FLUSH = {"outside corner", "open", "mitre", "covered"}
_FOUR = ["bottom", "right", "top", "left"]
#: Round drains are tiled up to a polygon of this many sides around them.
_SIDES_OF_DRAIN = 24
_LEAST_SOFT = 3 * MM


def field_of(surface: Surface) -> Field:
    """Return what may be tiled, in the frame of the bond; round holes count as discs."""
    outline, joints = _walked(surface, surface)
    field = Field(outline, joints)
    for _, part in surface.parts:
        if isinstance(part, Area):
            corners, gaps = _walked(surface, part)
            field.block(corners, gaps)
            continue
        gap = _gap(part, surface.joint)
        if part.diameter is None:
            field.block(part.box.corners, [gap] * 4)
        elif isinstance(part, Through):
            field.pierce((part.x, part.y), part.diameter + 2 * gap)
        else:
            field.pierce((part.x, part.y), part.diameter + 2 * gap, _SIDES_OF_DRAIN)
    field.turn(float(surface.bond.angle))
    return field


def discs_of(surface: Surface) -> list[tuple[Point, int]]:
    """Return the round holes with their clearance, in the frame of the bond."""
    return [
        (turned(surface, (hole.x, hole.y)), hole.diameter + 2 * hole.clearance)
        for hole in surface.holes
        if hole.diameter is not None
    ]


def _gap(part: Through | Drain, joint: int) -> int:
    gap: int | None = part.clearance if isinstance(part, Through) else part.joint
    return joint if gap is None else gap


def _walked(surface: Surface, item: Surface | Area) -> tuple[list[Point], list[int]]:
    """Return corners anticlockwise, and the joint along the edge that begins at each."""
    corners = list(item.corners)
    count = len(corners)
    names = _FOUR if item.outline is None else [str(number) for number in range(1, count + 1)]
    joints = [_joint(surface, item, name) for name in names]
    if doubled_area(corners) < 0:
        corners.reverse()
        joints = [joints[(count - 2 - at) % count] for at in range(count)]
    return corners, joints


def _joint(surface: Surface, item: Surface | Area, name: str) -> int:
    edge = item.edges.get(name, item.edges.get("all"))
    back: int = (edge.set_back or 0) if edge is not None else 0
    given: int | None = edge.joint if edge is not None else None
    return back + (_by_custom(surface, item, edge) if given is None else given)


def _by_custom(surface: Surface, item: Surface | Area, edge: Edge | None) -> int:
    if edge is None:
        # By itself an edge meets something soft, save the rim of a niche.
        meets = "profile" if getattr(item, "kind", "") == "niche" else "inside corner"
    else:
        meets = edge.meets
    if meets in _FLUSH:
        return 0
    joint: int = surface.joint
    if meets == "fall line":
        return (joint + 1) // 2
    return max(joint, _LEAST_SOFT) if meets in _SOFT else joint


def turned(surface: Surface, point: Point) -> Point:
    """Return a point of the surface in the frame of the bond."""
    degrees = float(surface.bond.angle)
    if degrees in (90, -90):
        return (point[1], -point[0]) if degrees > 0 else (-point[1], point[0])
    away = complex(*point) * complex(
        math.cos(math.radians(degrees)), -math.sin(math.radians(degrees))
    )
    return round(away.real), round(away.imag)


def lattice_of(job: Job, surface: Surface, tile: JobTile, field: Field) -> Lattice:
    """Return the cells of the bond; for planks with a stagger the shifts are still open."""
    origin = _origin(surface, tile, field)
    joint, bond = surface.joint, surface.bond
    lying = tile.width >= tile.height
    long, short = sorted((tile.width, tile.height), reverse=True)
    a, b = long + joint, short + joint
    first, second = (0, 90) if lying else (90, 0)
    if bond.kind == "herringbone":
        members = [(0, 0, long, short, first), (a, b - a, short, long, second)]
        return Lattice(members, (b, b), (a, -a), origin)
    if bond.kind == "basket weave":
        rows = [(0, at * b, long, short, first) for at in range(a // b)]
        columns = [(a + at * b, 0, short, long, second) for at in range(a // b)]
        return Lattice(rows + columns, (2 * a, 0), (a, a), origin)
    member = (0, 0, tile.width, tile.height, 0)
    wide, high = tile.width + joint, tile.height + joint
    if bond.along == "columns":
        return Lattice([member], (0, high), (wide, 0), origin, shifts_of(job, surface, high))
    return Lattice([member], (wide, 0), (0, high), origin, shifts_of(job, surface, wide))


def shifts_of(job: Job, surface: Surface, pitch: int) -> list[int]:
    """Return by how much the courses are shifted, where the job says so."""
    bond = surface.bond
    if bond.kind == "planks":
        return [start % pitch for start in bond.starts or (0,)]
    if bond.kind != "running":
        return [0]
    share = Fraction(1, 2) if bond.offset is None else bond.offset
    step = Fraction(INCH, 64) if job.units == "in" else Fraction(MM, 1000)
    exact = [pitch * ((at * share) % 1) for at in range(share.denominator)]
    return [int(s) if s.denominator == 1 else int(step * round(s / step)) for s in exact]


def _origin(surface: Surface, tile: JobTile, field: Field) -> Point:
    left, bottom, right, top = field.bounds_of_outline
    if surface.start is None:
        if surface.bond.angle in (0, 90, -90):
            return round(left), round(bottom)
        x, y = (left + right - tile.width) / 2, (bottom + top - tile.height) / 2
        return round(x), round(y)
    x, y = turned(surface, surface.start.point or (0, 0))
    back = surface.start.of == "centre"
    return (
        x + surface.start.x - back * (tile.width // 2),
        y + surface.start.y - back * (tile.height // 2),
    )
