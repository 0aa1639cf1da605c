"""A surface made ready: its field inside the joints, in the frame of its bond."""

from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.documents import Area, JobTile, Surface, Through
from cutopt.errors import Fault, shown
from cutopt.geometry import Border, Frame, Nearest, Region, around_circle, shifted
from cutopt.geometry.offset import TaggedOutline
from cutopt.layout.edges import Measured, around, measured
from cutopt.layout.model import EdgeRule, Round
from cutopt.plane import Point
from cutopt.units import INCH, MM, Units


@dataclass(frozen=True, slots=True)
class Pierced:
    """A round hole in the frame: its place in the job, centre, diameter with clearance."""

    place: str
    centre: Point
    diameter: int

    @property
    def round(self) -> Round:
        """Return centre and diameter."""
        return self.centre, self.diameter

    @property
    def outline(self) -> list[Point]:
        """Return a polygon around the hole."""
        return around_circle(self.centre, self.diameter)


@dataclass(frozen=True, slots=True)
class Ground:
    """What a surface offers to its tiles."""

    place: str
    surface: Surface
    tile: JobTile
    frame: Frame
    outline: tuple[Point, ...]
    rules: tuple[EdgeRule, ...]
    field: tuple[Point, ...]
    region: Region
    nearest: Nearest
    pierced: tuple[Pierced, ...]
    units: Units

    @property
    def step(self) -> int:
        """Return what a share of a tile is rounded to: 0.001 mm, or 1/64 in in an inch job."""
        return INCH // 64 if self.units == "in" else MM // 1_000


class Narrow(Exception):  # noqa: N818 - a fault on its way up
    """The joints leave nothing of a surface or of a part of it."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(str(fault))


def ground_of(place: str, surface: Surface, tile: JobTile, units: Units) -> Ground:
    """Return a surface made ready.

    Raises
    ------
    Narrow
        When joints leave nothing to tile.
    """
    frame = Frame(surface.bond.angle)
    whole = measured(place, surface, surface.joint)
    field = _turned(frame, _moved(place, whole, 1))
    rules = list(whole.rules)
    outlines: list[tuple[TaggedOutline, int]] = [(field, 0)]
    blocked: list[list[Point]] = []
    for moved, part in _blocked(place, surface):
        outlines.append((_turned(frame, moved), len(rules)))
        blocked.append([point for point, _ in outlines[-1][0]])
        rules += part.rules
    pierced = tuple(_pierced(place, surface, frame))
    corners = [point for point, _ in field]
    region = Region(corners, blocked, [hole.outline for hole in pierced])
    if region.is_empty:
        raise Narrow(Fault(place, shown(surface.id), "openings leave nothing to tile"))
    border = Border.of((outline, first.__add__) for outline, first in outlines)
    return Ground(
        place=place,
        surface=surface,
        tile=tile,
        frame=frame,
        outline=whole.outline,
        rules=tuple(rules),
        field=tuple(corners),
        region=region,
        nearest=Nearest(border),
        pierced=pierced,
        units=units,
    )


def _blocked(place: str, surface: Surface) -> Iterator[tuple[TaggedOutline, Measured]]:
    """Return what takes no tile, with its joints: openings, obstacles, drains, angular holes."""
    for at, part in surface.parts:
        here = f"{place}{at}"
        if isinstance(part, Area):
            item = measured(here, part, surface.joint)
        elif part.diameter is None:
            item = around(here, part, part.box.corners, surface.joint)
        elif isinstance(part, Through):
            continue
        else:
            item = around(here, part, around_circle((part.x, part.y), part.diameter), surface.joint)
        yield _moved(here, item, -1), item


def _moved(place: str, item: Measured, way: int) -> TaggedOutline:
    try:
        return shifted(item.outline, [way * joint for joint in item.joints])
    except ValueError as problem:
        raise Narrow(Fault(place, f"{len(item.outline)} edges", str(problem))) from None


def _turned(frame: Frame, outline: TaggedOutline) -> TaggedOutline:
    points = frame.inward(point for point, _ in outline)
    return [(point, edge) for point, (_, edge) in zip(points, outline, strict=True)]


def _pierced(place: str, surface: Surface, frame: Frame) -> Iterator[Pierced]:
    for at, hole in enumerate(surface.holes):
        if hole.diameter is not None:
            (centre,) = frame.inward([(hole.x, hole.y)])
            yield Pierced(f"{place}/holes/{at}", centre, hole.diameter + 2 * hole.clearance)
