"""A plan in milliseconds: largest piece first, into the first sheet with room for it.

Each opened sheet is a tree whose leaves are pieces or free rectangles with their factory
edges. A piece goes into a corner of the free rectangle that it fills best; two straight cuts
part it off, in the order that leaves the larger rectangle. It is where every search starts
and what is left when the time is over.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cutopt.solver.problem import (
    ACROSS,
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    UPWARDS,
    Cutting,
    Join,
    Leaf,
    Problem,
    Sheet,
    Stand,
    Tree,
)

#: Opened sheets that are looked through for room; the fullest ones are passed over.
MOST_OPEN = 200
#: Pieces beyond so many are planned as a smaller job done several times, and a rest.
MOST_UNITS = 2_000


@dataclass
class Room:
    """A free rectangle of a sheet, or what has become of it: a piece, or two rooms and a cut."""

    width: int
    height: int
    edges: int
    piece: Leaf | None = None
    parts: tuple["Room", "Room"] | None = None
    beside: bool = True

    def free(self) -> Iterator["Room"]:
        """Yield the free rectangles in it."""
        if self.parts:
            yield from self.parts[0].free()
            yield from self.parts[1].free()
        elif self.piece is None and self.width > 0 and self.height > 0:
            yield self

    def tree(self, kerf: int) -> Tree | None:
        """Return the pieces in it as a tree of cuts, None when there are none."""
        if self.piece or not self.parts:
            return self.piece
        first, second = (part.tree(kerf) for part in self.parts)
        if first and second:
            return Join(first, second, self.beside, kerf)
        return first or second


def first_plan(
    problem: Problem, wanted: Sequence[int], limits: Sequence[int | None] | None = None
) -> list[Cutting]:
    """Return a valid plan for so many of each kind, largest pieces first.

    Parameters
    ----------
    wanted : sequence of int
        Pieces of each kind.
    limits : sequence of int or None, optional
        How many of each sheet there are; those of the problem when left out.
    """
    limits = limits or [sheet.limit for sheet in problem.sheets]
    times = sum(wanted) // MOST_UNITS
    if times:
        few = _placed(problem, [number // (times + 1) for number in wanted], [0] * len(limits))
        rest = _placed(problem, [number % (times + 1) for number in wanted], limits)
        return [replace(one, count=one.count * (times + 1)) for one in few] + rest
    return _placed(problem, wanted, limits)


def _placed(problem: Problem, wanted: Sequence[int], limits: Sequence[int | None]) -> list[Cutting]:
    order = sorted(
        range(len(problem.kinds)),
        key=lambda kind: _area(problem, kind),
        reverse=True,
    )
    opened: list[tuple[int, Room]] = [
        (number, _whole(sheet))
        for number, sheet in enumerate(problem.sheets)
        for _ in range(limits[number] or 0)
    ]
    closed: list[tuple[int, Room]] = []
    for kind in order:
        for _ in range(wanted[kind]):
            if not _place(problem, kind, opened):
                fresh = (0, _whole(problem.new))
                if not _place(problem, kind, [fresh]):
                    raise ValueError(f"kind {kind} fits no sheet")
                opened.append(fresh)
            if len(opened) > MOST_OPEN:
                closed.append(opened.pop(0))
    alike: Counter[tuple[int, Tree]] = Counter()
    for sheet, room in closed + opened:
        if tree := room.tree(problem.kerf):
            alike[sheet, tree] += 1
    return [Cutting(sheet, tree, count) for (sheet, tree), count in alike.items()]


def _area(problem: Problem, kind: int) -> int:
    stand = problem.kinds[kind].stands[0]
    return stand.width * stand.height


def _whole(sheet: Sheet) -> Room:
    return Room(sheet.width, sheet.height, sheet.edges)


def _place(problem: Problem, kind: int, opened: list[tuple[int, Room]]) -> bool:
    for _, whole in opened:
        best: tuple[int, Room, Stand] | None = None
        for room in whole.free():
            for stand in problem.kinds[kind].stands:
                if _fits(stand, room):
                    slack = room.width * room.height - stand.width * stand.height
                    if best is None or slack < best[0]:
                        best = slack, room, stand
        if best:
            _occupy(best[1], Leaf(kind, best[2]), problem.kerf)
            return True
    return False


def _fits(stand: Stand, room: Room) -> bool:
    return Sheet(room.width, room.height, room.edges).holds(stand.width, stand.height, stand.wants)


def _occupy(room: Room, piece: Leaf, kerf: int) -> None:
    """Cut the room so that the piece is parted off, on the sides where it wants to be."""
    right, top = room.width - piece.width - kerf, room.height - piece.height - kerf
    if right <= 0 and top <= 0:
        room.piece = piece
        return
    if right * room.height >= top * room.width:
        room.beside, wants, high = True, piece.wants & ACROSS, RIGHT
        near = Room(piece.width, room.height, 0)
        rest = Room(right, room.height, 0)
        low_side, high_side = LEFT, RIGHT
    else:
        room.beside, wants, high = False, piece.wants & UPWARDS, TOP
        near = Room(room.width, piece.height, 0)
        rest = Room(room.width, top, 0)
        low_side, high_side = BOTTOM, TOP
    far_end = bool(wants & high)
    low, upper = (rest, near) if far_end else (near, rest)
    low.edges = room.edges & ~high_side
    upper.edges = room.edges & ~low_side
    room.parts = (low, upper)
    _occupy(near, piece, kerf)
