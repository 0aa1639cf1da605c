"""Everything that a saw can get out of a sheet, tried one cut after the other.

It shares nothing with the solver but the nouns of the problem: it follows the rules of
docs/model.md literally, on sheets of a few units, at every whole place where a blade can run.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Problem, Sheet, Stand, Tree
from cutopt.solver.problem import Join, Leaf

#: How often each kind comes out.
Counts = tuple[int, ...]


@dataclass
class Saw:
    """All that can come out of rectangles, remembered."""

    problem: Problem
    most: Counts
    lot: int = 0
    known: dict[tuple[int, int, int], frozenset[Counts]] = field(default_factory=dict)

    def counts(self, width: int, height: int, edges: int) -> frozenset[Counts]:
        """Return every multiset of pieces that a rectangle with these factory edges gives."""
        key = width, height, edges
        if key not in self.known:
            found = {(0,) * len(self.most)}
            if width > 0 and height > 0:
                found |= set(self._pieces(*key)) | set(self._cuts(*key))
            self.known[key] = frozenset(found)
        return self.known[key]

    def _pieces(self, width: int, height: int, edges: int) -> Iterator[Counts]:
        for number, kind in enumerate(self.problem.kinds):
            for stand in kind.stands if kind.lots is None or self.lot in kind.lots else ():
                if (stand.width, stand.height) == (width, height) and not stand.wants & ~edges:
                    yield from self._with_pockets(number, stand, edges)

    def _with_pockets(self, number: int, stand: Stand, edges: int) -> Iterator[Counts]:
        reach = self.problem.cutters.saw
        notches = [max(p.notch_width, p.notch_height) for p in stand.pockets]
        if reach is not None and max(notches, default=0) > reach:
            return
        own = tuple(int(kind == number) for kind in range(len(self.most)))
        pockets = [self.counts(p.width, p.height, edges & p.sides) for p in stand.pockets]
        for hosted in product(*pockets):
            yield from self._sums(own, *hosted)

    def _cuts(self, width: int, height: int, edges: int) -> Iterator[Counts]:
        kerf = self.problem.kerf
        for at in self._places(width, height):
            first = self.counts(at, height, edges & ~RIGHT)
            second = self.counts(width - at - kerf, height, edges & ~LEFT)
            for one, other in product(first, second):
                yield from self._sums(one, other)
        for at in self._places(height, width):
            first = self.counts(width, at, edges & ~TOP)
            second = self.counts(width, height - at - kerf, edges & ~BOTTOM)
            for one, other in product(first, second):
                yield from self._sums(one, other)

    def _places(self, size: int, length: int) -> list[int]:
        """Return where a cut of some length may run: sawn, or (without a kerf) snapped."""
        kerf, tools = self.problem.kerf, self.problem.cutters
        if tools.saw is None or length <= tools.saw:
            return list(range(1 - kerf, size))
        assert not (kerf and tools.snap)
        least = max(1, tools.strip)
        return list(range(least, size - least + 1)) if length <= tools.snap else []

    def _sums(self, *parts: Counts) -> Iterator[Counts]:
        """Yield the sum, if it holds no more of a kind than is of use."""
        total = tuple(map(sum, zip(*parts, strict=True)))
        if all(count <= most for count, most in zip(total, self.most, strict=True)):
            yield total


def all_counts(problem: Problem, sheet: Sheet, most: Counts | None = None) -> frozenset[Counts]:
    """Return every multiset that a sheet gives, no kind more often than wanted (or than `most`)."""
    return Saw(problem, most or problem.demands, sheet.lot).counts(
        sheet.width, sheet.height, sheet.edges
    )


def can_be_cut(tree: Tree, width: int, height: int, edges: int) -> bool:
    """Tell whether a tree comes out of a rectangle: every piece whole, every wish granted."""
    if isinstance(tree, Join):
        along, whole = ("width", width) if tree.beside else ("height", height)
        first = getattr(tree.first, along)
        rest = whole - first - tree.kerf
        if rest <= 0:
            return False
        if tree.beside:
            return can_be_cut(tree.first, first, height, edges & ~RIGHT) and can_be_cut(
                tree.second, rest, height, edges & ~LEFT
            )
        return can_be_cut(tree.first, width, first, edges & ~TOP) and can_be_cut(
            tree.second, width, rest, edges & ~BOTTOM
        )
    assert isinstance(tree, Leaf)
    return _piece_can_be_cut(tree, width, height, edges)


def _piece_can_be_cut(leaf: Leaf, width: int, height: int, edges: int) -> bool:
    stand, wants = leaf.stand, leaf.wants
    if stand.width > width or stand.height > height:
        return False
    # What lies beside the piece is cut off, from the side that nobody wants.
    if stand.width < width:
        edges &= ~LEFT if wants & RIGHT else ~RIGHT
    if stand.height < height:
        edges &= ~BOTTOM if wants & TOP else ~TOP
    return not stand.wants & ~edges and all(
        can_be_cut(
            tree,
            stand.pockets[number].width,
            stand.pockets[number].height,
            edges & stand.pockets[number].sides,
        )
        for number, tree in leaf.fills
    )


@dataclass
class Worth:
    """What rectangles are worth at most when every kind may come out as often as it fits."""

    problem: Problem
    prices: tuple[int, ...]
    known: dict[tuple[int, int, int], int] = field(default_factory=dict)

    def of(self, width: int, height: int, edges: int) -> int:
        """Return the most that a rectangle with these factory edges is worth."""
        key = width, height, edges
        if min(width, height) <= 0:
            return 0
        if key not in self.known:
            self.known[key] = max(self._single(*key), self._cut(*key))
        return self.known[key]

    def _single(self, width: int, height: int, edges: int) -> int:
        return max(
            (
                self.prices[number]
                + sum(self.of(p.width, p.height, edges & p.sides) for p in stand.pockets)
                for number, kind in enumerate(self.problem.kinds)
                for stand in kind.stands
                if (stand.width, stand.height) == (width, height) and not stand.wants & ~edges
            ),
            default=0,
        )

    def _cut(self, width: int, height: int, edges: int) -> int:
        kerf = self.problem.kerf
        upright = (
            self.of(at, height, edges & ~RIGHT) + self.of(width - at - kerf, height, edges & ~LEFT)
            for at in range(1 - kerf, width)
        )
        level = (
            self.of(width, at, edges & ~TOP) + self.of(width, height - at - kerf, edges & ~BOTTOM)
            for at in range(1 - kerf, height)
        )
        return max(max(upright, default=0), max(level, default=0))


def fewest(problem: Problem) -> int:
    """Return the fewest new sheets that cover the demand, offcuts first, by trying all."""
    found = cheapest(problem)
    assert found is not None
    return found


def cheapest(problem: Problem) -> int | None:
    """Return the least cost that covers the demand, None where there are too few sheets."""
    least = {problem.demands: 0}
    for sheet, cost in zip(problem.sheets, problem.costs, strict=True):
        times = sum(problem.demands) if sheet.limit is None else sheet.limit
        for _ in range(times):
            before = dict(least)
            for wanted, paid in before.items():
                for left in _served(problem, sheet, {wanted}):
                    least[left] = min(least.get(left, paid + cost), paid + cost)
            if least == before:
                break
    return least.get((0,) * len(problem.kinds))


def _served(problem: Problem, sheet: Sheet, open_demands: set[Counts]) -> set[Counts]:
    """Return what may still be wanted after one more sheet."""
    return {
        tuple(max(0, left - made) for left, made in zip(wanted, counts, strict=True))
        for wanted in open_demands
        for counts in all_counts(problem, sheet)
    }
