"""Critical starts: where a joint passes an edge, so that pieces come, go or change their shape.

Between two neighbouring ones every piece keeps its shape and each of its sizes grows, shrinks
or stays by exactly as much as the start moves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutopt.documents import Start
from cutopt.documents.survey import repeats
from cutopt.layout.bonds import cells_of_bond
from cutopt.layout.ground import Ground
from cutopt.plane import Rect, box_of
from cutopt.units import MM

#: Starts closer than this to a critical one (0.001 mm) are taken to be the critical one.
NEAR = MM // 1_000


@dataclass(frozen=True, slots=True)
class Stretch:
    """Starts from `low` to `high` along one direction, both included."""

    low: int
    high: int


@dataclass(frozen=True)
class Marks:
    """Critical starts within a repeat: at `joins` a tile begins at an edge, at `parts` one ends.

    From where a tile begins at an edge up to where the one before ends there, the edge lies in
    the joint between them and cuts neither.
    """

    joins: frozenset[int]
    parts: frozenset[int]
    joint: int

    def moved(self, shift: int, period: int) -> "Marks":
        """Return the values of a variable at which a surface that begins `shift` later has them."""
        joins, parts = (
            frozenset((mark - shift) % period for mark in marks)
            for marks in (self.joins, self.parts)
        )
        return Marks(joins, parts, self.joint)


def critical_starts(ground: Ground, axis: int) -> Marks:
    """Return the critical starts of a surface along one axis of its bond."""
    repeat = repeats(ground.surface.bond, ground.surface, ground.tile)[axis]
    lows, highs = ends_of_tiles(ground, axis)
    lines = _lines(ground, axis)
    joins, parts = (
        frozenset((line - side) % repeat for line in lines for side in sides)
        for sides in (lows, highs)
    )
    return Marks(joins, parts, ground.surface.joint)


def _lines(ground: Ground, axis: int) -> set[int]:
    """Return where edges of what is tiled begin and end, and where round holes do."""
    found = {segment[axis + end] for segment in ground.region.segments for end in (0, 2)}
    found |= {point[axis] for point in ground.field}
    for hole in ground.pierced:
        box = box_of(hole.outline)
        reach = (hole.diameter + 1) // 2
        found |= {box[axis], box[axis] + box[axis + 2]}
        found |= {hole.centre[axis] - reach, hole.centre[axis] + reach}
    return found


def ends_of_tiles(ground: Ground, axis: int) -> tuple[list[int], list[int]]:
    """Return where tiles begin and where they end, pairwise, when the bond starts at 0, 0.

    One pair for each way in which a tile lies within a repeat.
    """
    surface = ground.surface.model_copy(update={"start": Start()})
    repeat = repeats(surface.bond, surface, ground.tile)
    field = box_of(ground.field)
    around = Rect(
        field.x - repeat[0],
        field.y - repeat[1],
        field.width + 2 * repeat[0],
        field.height + 2 * repeat[1],
    )
    cells = cells_of_bond(surface, ground.tile, ground.frame, field, ground.step).cells(around)
    first = ((cells.x, cells.y)[axis] % repeat[axis]).tolist()
    size = (cells.width, cells.height)[axis].tolist()
    pairs = sorted({(low, low + length) for low, length in zip(first, size, strict=True)})
    return [low for low, _ in pairs], [high for _, high in pairs]


def stretches_of(found: Sequence[Marks], period: int) -> list[Stretch]:
    """Return the stretches of a repeat in which pieces keep their shape.

    They are the widths of a joint in which an edge lies between two tiles, what lies between
    these, and single starts where such widths meet or overlap.
    """
    joins = {mark for marks in found for mark in marks.joins}
    parts = {mark for marks in found for mark in marks.parts}
    joint = min((marks.joint for marks in found), default=0)
    points = sorted(joins | parts)
    plain = {
        low: low + joint
        for low, high in pairwise(points)
        if high - low == joint and low in joins - parts and high in parts - joins
    }
    ends = set(plain.values())
    shut = [Stretch(at, plain.get(at, at)) for at in points if at not in ends]
    begins = [0, *(stretch.high + NEAR for stretch in shut)]
    stops = [*(stretch.low - NEAR for stretch in shut), period - 1]
    between = (Stretch(low, high) for low, high in zip(begins, stops, strict=True) if low <= high)
    return sorted([*shut, *between], key=lambda stretch: stretch.low)
