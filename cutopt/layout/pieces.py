"""From the cells of a surface to its pieces: shapes, factory edges, labels."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import JobTile
from cutopt.documents.request import LARGEST_RATIO, SHORTEST_SIDE
from cutopt.geometry import Cells, Shape, less
from cutopt.layout.bonds import cells_of_bond
from cutopt.layout.ground import Ground, Pierced
from cutopt.layout.model import Gap, LaidPiece, LaidSurface, Round, label_of
from cutopt.layout.mosaic import sides_in_chips
from cutopt.layout.sides import Sides, sides_of
from cutopt.plane import Point, Rect, box_of, circle_within, edges


@dataclass(frozen=True, slots=True)
class _Part:
    """What is left of a cell in one piece, before it has a name."""

    row: tuple[int, ...]
    shape: Shape
    rounds: tuple[Round, ...]

    @property
    def cell(self) -> Rect:
        return Rect(*self.row[:4])

    @property
    def turn(self) -> int:
        return self.row[6]

    @property
    def is_full(self) -> bool:
        return (
            not self.rounds
            and not self.shape.holes
            and len(self.shape.outer) == 4
            and self.shape.doubled_area == 2 * self.cell.width * self.cell.height
        )


def laid(ground: Ground) -> LaidSurface:
    """Lay a surface: return its pieces, each with label, place and factory edges."""
    field = box_of(ground.field)
    bond = cells_of_bond(ground.surface, ground.tile, ground.frame, field, ground.step)
    whole, border = ground.region.sorted_out(bond.cells(field))
    cut: list[LaidPiece] = []
    gaps: list[Gap] = []
    parts = list(_parts(ground, border))
    wanted = sides_of(ground, [(part.cell, part.shape, part.turn) for part in parts])
    names = _labels(ground.surface.id, parts)
    for part, label, found in zip(parts, names, wanted, strict=True):
        if _is_too_thin(part.shape, ground.tile):
            gaps.append(Gap(label, part.cell, part.turn, part.shape))
        else:
            sides = found
            if ground.tile.mosaic is not None:
                sides = sides_in_chips(part.cell, part.shape, found, ground.tile.mosaic)
            cut.append(_piece(part, label, sides, ground.surface.id))
    return LaidSurface(
        place=ground.place,
        mark=ground.surface.id,
        tile=ground.tile.id,
        frame=ground.frame,
        outline=ground.outline,
        edges=ground.rules,
        field=ground.field,
        whole=whole,
        cut=tuple(cut),
        gaps=tuple(gaps),
    )


def _piece(part: _Part, label: str, sides: Sides, mark: str) -> LaidPiece:
    *_, course, position, turn = part.row
    entry = f"{mark} full" if part.is_full else label
    return LaidPiece(
        label=label,
        entry=entry,
        course=course,
        position=position,
        turn=turn,
        cell=part.cell,
        shape=part.shape,
        rounds=part.rounds,
        is_full=part.is_full,
        factory_edges=() if part.is_full else sides.factory,
        sawn_in_sight=None if part.is_full else sides.sawn_in_sight,
    )


def _parts(ground: Ground, border: Cells) -> Iterator[_Part]:
    """Return what is left of each cell that meets the border, in a fixed order."""
    rows = border.rows()
    holes = _holes_by_cell(rows, ground.pierced)
    for at, (row, shapes) in enumerate(zip(rows, ground.region.shapes(border), strict=True)):
        found = [(shape, ()) for shape in shapes] if at not in holes else None
        parts = found if found is not None else _with_rounds(shapes, holes[at])
        for shape, rounds in sorted(parts, key=lambda item: min(item[0].outer)):
            yield _Part(row, shape, tuple(rounds))


def _holes_by_cell(
    rows: Sequence[tuple[int, ...]], pierced: Sequence[Pierced]
) -> dict[int, list[Pierced]]:
    found = defaultdict(list)
    for hole in pierced:
        box = box_of(hole.outline)
        for at, (x, y, width, height, *_) in enumerate(rows):
            if x < box.right and box.x < x + width and y < box.top and box.y < y + height:
                found[at].append(hole)
    return found


def _with_rounds(
    shapes: Sequence[Shape], holes: Sequence[Pierced]
) -> list[tuple[Shape, tuple[Round, ...]]]:
    """Drill round holes that lie inside a shape; what crosses its edge becomes a notch."""
    done = []
    for shape in shapes:
        inside = [hole for hole in holes if _is_drilled(hole, shape)]
        crossing = [hole.outline for hole in holes if hole not in inside]
        for rest in less(shape, crossing) if crossing else [shape]:
            drilled = [hole.round for hole in inside if _is_drilled(hole, rest)]
            done.append((rest, tuple(drilled)))
    return done


def _is_drilled(hole: Pierced, shape: Shape) -> bool:
    if not circle_within(hole.centre, hole.diameter, shape.outer):
        return False
    return not any(_meet(hole, ring) for ring in shape.holes)


def _meet(hole: Pierced, ring: Sequence[Point]) -> bool:
    """Tell whether a round hole and a hole with corners come closer than to touch (by boxes)."""
    box, other = box_of(hole.outline), box_of(ring)
    return (
        box.x <= other.right and other.x <= box.right and box.y <= other.top and other.y <= box.top
    )


def _is_too_thin(shape: Shape, tile: JobTile) -> bool:
    """Tell whether no request may ask for a piece, as it is thinner than half a millimetre."""
    box = box_of(shape.outer)
    least = max(SHORTEST_SIDE, -(-max(tile.width, tile.height) // LARGEST_RATIO))
    if min(box.width, box.height) < least:
        return True
    around = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in edges(shape.outer))
    return shape.doubled_area < SHORTEST_SIDE * around // 2


def _labels(mark: str, parts: Sequence[_Part]) -> list[str]:
    """Name the parts: a letter only where a cell is left in several parts."""
    count: dict[tuple[int, ...], int] = defaultdict(int)
    for part in parts:
        count[part.row] += 1
    seen: dict[tuple[int, ...], int] = defaultdict(int)
    names = []
    for part in parts:
        number = seen[part.row] if count[part.row] > 1 else None
        seen[part.row] += 1
        names.append(label_of(mark, part.row[4], part.row[5], number))
    return names
