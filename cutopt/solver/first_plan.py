"""A plan in milliseconds: largest piece first, into the first sheet with room for it.

Each opened sheet is a tree whose leaves are pieces or free rectangles with their factory
edges. A piece goes into a corner of the free rectangle that it fills best; two straight cuts
part it off, in the order that leaves the larger rectangle. It is where every search starts
and what is left when the time is over.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median_low

from cutopt.solver.problem import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Cutting,
    Join,
    Leaf,
    Problem,
    Sheet,
    Stand,
    Tree,
)

#: Opened sheets that are looked through for room; the fullest ones are passed over. With very
#: many pieces they are fewer, so that looking takes no more than seconds.
MOST_OPEN, LEAST_OPEN, LOOKS = 200, 20, 1_000_000
#: Pieces beyond so many are planned as a smaller job done several times, and a rest.
MOST_UNITS = 2_000


class Short(Exception):  # noqa: N818 - reads as the sentence it is
    """Largest first, there are too few new sheets; otherwise there may be enough."""


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

    Raises
    ------
    Short
        When these are too few.
    """
    limits = limits or [sheet.limit for sheet in problem.sheets]
    # No more often than a kind of middling demand is wanted, or nothing is left to be repeated.
    times = min(sum(wanted) // MOST_UNITS, median_low(wanted or (0,)) - 1)
    if times <= 0:
        return _placed(problem, wanted, limits)
    shares = [
        (limit and limit // (times + 1)) if cost else 0
        for limit, cost in zip(limits, problem.costs, strict=True)
    ]
    few = _placed(problem, [number // (times + 1) for number in wanted], shares)
    many = [replace(one, count=one.count * (times + 1)) for one in few]
    left = [limit and limit - uses(many, number) for number, limit in enumerate(limits)]
    return many + _placed(problem, [number % (times + 1) for number in wanted], left)


def uses(cuttings: Iterable[Cutting], sheet: int) -> int:
    """Return how many of a sheet a plan takes."""
    return sum(cutting.count for cutting in cuttings if cutting.sheet == sheet)


def _placed(problem: Problem, wanted: Sequence[int], limits: Sequence[int | None]) -> list[Cutting]:
    order = sorted(
        range(len(problem.kinds)),
        key=lambda kind: _area(problem, kind),
        reverse=True,
    )
    opened: list[tuple[int, Room]] = [
        (number, _whole(sheet))
        for number, sheet in enumerate(problem.sheets)
        if not problem.costs[number]
        for _ in range(limits[number] or 0)
    ]
    most_open = max(LEAST_OPEN, min(MOST_OPEN, LOOKS // max(1, sum(wanted))))
    box, closed = _Box(problem, list(limits)), list[tuple[int, Room]]()
    for kind in order:
        for _ in range(wanted[kind]):
            if not _place(problem, kind, opened):
                opened.append(box.open(kind))
            if len(opened) > most_open:
                closed.append(opened.pop(0))
    alike: Counter[tuple[int, Tree]] = Counter()
    for sheet, room in closed + opened:
        if tree := room.tree(problem.kerf):
            alike[sheet, tree] += 1
    return [Cutting(sheet, tree, count) for (sheet, tree), count in alike.items()]


@dataclass
class _Box:
    """The new sheets, and how many are left of each; None for any number."""

    problem: Problem
    left: list[int | None]

    def open(self, kind: int) -> tuple[int, Room]:
        """Return a new sheet with a piece in it, of most area for its cost."""
        short = False
        for number in self.problem.to_buy:
            fresh = number, _whole(self.problem.sheets[number])
            if not _place(self.problem, kind, [fresh]):
                continue
            left = self.left[number]
            if left != 0:
                self.left[number] = left and left - 1
                return fresh
            short = True
        if short:
            raise Short
        raise ValueError(f"kind {kind} fits no sheet")


def _area(problem: Problem, kind: int) -> int:
    stand = problem.kinds[kind].stands[0]
    return stand.width * stand.height


def _whole(sheet: Sheet) -> Room:
    return Room(sheet.width, sheet.height, sheet.edges)


def _place(problem: Problem, kind: int, opened: list[tuple[int, Room]]) -> bool:
    for number, whole in opened:
        if not problem.kinds[kind].comes_of(problem.sheets[number]):
            continue
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
    part_off(room, piece, kerf, beside=right * room.height >= top * room.width)


def part_off(room: Room, piece: Leaf, kerf: int, *, beside: bool) -> tuple[Room, Room]:
    """Cut a piece off, on the sides where it wants to be; return what is left first and last.

    The first cut runs beside the piece through the whole room, or above or below it.
    """
    near, first = _cut_off(room, piece, kerf, beside)
    own, last = _cut_off(near, piece, kerf, not beside)
    own.piece = piece
    return first, last


def _cut_off(room: Room, piece: Leaf, kerf: int, beside: bool) -> tuple[Room, Room]:
    """Cut through a room where a piece ends; return the part that it lies in, and the rest."""
    wants, high = piece.wants, RIGHT if beside else TOP
    if beside:
        size, low_side = room.width - piece.width, LEFT
        near, rest = Room(piece.width, room.height, 0), Room(size - kerf, room.height, 0)
    else:
        size, low_side = room.height - piece.height, BOTTOM
        near, rest = Room(room.width, piece.height, 0), Room(room.width, size - kerf, 0)
    if not size:
        return room, rest
    low, upper = (rest, near) if wants & high else (near, rest)
    low.edges, upper.edges = room.edges & ~high, room.edges & ~low_side
    room.parts, room.beside = (low, upper), beside
    return near, rest
