"""The most that any part of a tile is worth at given prices: dynamic programming over its cuts.

A kerf is added to every size and to the part itself, so that a cut takes nothing. Cutting from
left to right and from below, every piece and every group of pieces that a plan parts off measures
a sum of sizes; so parts of such sums are all that need be looked at: what comes out of a part
of any other size comes out of the next smaller one.

The table is to tell whether anything comes out of a tile that is worth more than a limit. If so,
pieces can be left out until each that is left is needed for that. Only sums of such
few pieces are looked at, and how often a size enters a sum is bounded by how many pieces have it.
How often a piece is taken from one tile is not: so the table may say too much, never too little.

Where there are too many sums, sizes are counted in steps of the part, rounded down. What fits
the part then fits it all the more: again the table may only say more.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from operator import add
from typing import NamedTuple

from cutopt.check.bound.offers import BOTTOM, LEFT, RIGHT, TOP, Block, Look, Offer, Part

#: Cuts that the table may look at; at some five millions a second.
MOST_LOOKS = 60_000_000
#: Sums along one side beyond which pairs of them are not looked for.
MOST_SUMS = 4_000
#: Steps of a side that has too many sums.
STEPS = 240


class TooMuchToLookAt(Exception):  # noqa: N818 - reads as the sentence it is
    """The proof would take longer than anybody would wait for it."""


class Length(NamedTuple):
    """A size of pieces, kerf added: what one is worth, and how many there may be."""

    size: int
    worth: int
    times: int


class Axis:
    """The sums of sizes along one side of a part.

    Attributes
    ----------
    exact : bool
        Whether sizes are what they are, not rounded down to steps.
    sums : list of int
        Each with a kerf for every piece.
    pairs : list of list of tuple
        For each sum, the pairs of sums (their numbers, neither 0) that it is made of.
    """

    def __init__(self, lengths: Sequence[Length], whole: int, limit: int, *, exact: bool) -> None:
        self.exact = exact
        self.whole = whole
        counted = [length._replace(size=self._counted(length.size)) for length in lengths]
        self.sums = sorted(_sums(counted, self._counted(whole), limit))
        number = {total: at for at, total in enumerate(self.sums)}
        self.pairs = [list[tuple[int, int]]() for _ in self.sums]
        for first, one in enumerate(self.sums[1:], start=1):
            for second, other in enumerate(self.sums[first:], start=first):
                if one + other > self.sums[-1]:
                    break
                if (total := number.get(one + other)) is not None:
                    self.pairs[total].append((first, second))
                    if first < second:
                        self.pairs[total].append((second, first))

    def __len__(self) -> int:
        return len(self.sums)

    def _counted(self, size: int) -> int:
        return size if self.exact else size * STEPS // self.whole

    def within(self, size: int) -> int:
        """Return the number of the largest sum that is no larger."""
        return bisect_right(self.sums, self._counted(size)) - 1


def axis_of(lengths: Sequence[Length], whole: int, limit: int) -> Axis:
    """Return the exact sums, steps where there are too many of them."""
    try:
        return Axis(lengths, whole, limit, exact=True)
    except TooMuchToLookAt:
        return Axis(lengths, whole, limit, exact=False)


def _sums(lengths: Sequence[Length], whole: int, limit: int) -> dict[int, int]:
    """Return the sums of lengths, each with the least that the pieces in it are worth together.

    Dearest first: if all pieces in a sum are needed to be worth more than the limit, then
    those before the last, the cheapest, are not.
    """
    sums = {0: 0}
    for size, worth, times in sorted(lengths, key=lambda length: -length.worth):
        if not size:  # too thin for any step
            raise TooMuchToLookAt
        fresh = sums
        for _ in range(min(times, whole // size)):
            grown = {
                total + size: before + worth
                for total, before in fresh.items()
                if before <= limit and total + size <= whole
            }
            fresh = {
                total: found for total, found in grown.items() if found < sums.get(total, found + 1)
            }
            if not fresh:
                break
            sums = sums | fresh
        if len(sums) > MOST_SUMS:
            raise TooMuchToLookAt
    return sums


State = tuple[int, int, int]


class Table:
    """What every part of a tile or offcut is worth, by its factory edges and sums.

    Parameters
    ----------
    limit : int
        Nothing less than one more than this matters.
    nests : sequence of Block
        The nests of slanted pieces that may lie on the part.
    """

    def __init__(
        self,
        part: Part,
        offers: Sequence[Offer],
        kerf: int,
        limit: int,
        nests: Sequence[Block] = (),
    ) -> None:
        self.offers = offers
        self.kerf = kerf
        self.blocks = [
            Block((number,), look)
            for number, offer in enumerate(offers)
            for look in offer.looks
            if part.holds(look) and (offer.price or look.hollows)
        ]
        self.blocks += [nest for nest in nests if part.holds(nest.look)]
        if any(len(block.look.hollows) == 4 for block in self.blocks):
            # Four guests may lie so that they come apart only with their host: none is left out.
            limit += sum(offer.price * offer.wanted for offer in offers)
        self.across = axis_of(self._lengths(lambda look: look.width), part.width + kerf, limit)
        self.up = axis_of(self._lengths(lambda look: look.height), part.height + kerf, limit)
        if len(self.up) > len(self.across):  # short columns, filled one by one
            self.across, self.up = self.up, self.across
            self.blocks = [Block(block.group, block.look.mirrored) for block in self.blocks]
            part = part.mirrored
        self.start = part.edges & self._wished()
        self.whole: State = self.start, len(self.across) - 1, len(self.up) - 1
        self.at: dict[tuple[int, int], list[Block]] = {}
        for block in self.blocks:
            width, height = block.look.width + kerf, block.look.height + kerf
            place = self.across.within(width), self.up.within(height)
            self.at.setdefault(place, []).append(block)
        subsets = [edges for edges in range(self.start + 1) if not edges & ~self.start]
        if self._looks() * len(subsets) > MOST_LOOKS:
            raise TooMuchToLookAt
        self.worth: dict[int, list[list[int]]] = {}
        for edges in sorted(subsets, key=int.bit_count):
            self._fill(edges)

    @property
    def is_exact(self) -> bool:
        """Tell whether what fits by the table truly fits."""
        return self.across.exact and self.up.exact

    def of(self, state: State) -> int:
        """Return what a part is worth at most."""
        edges, column, row = state
        return self.worth[edges][column][row]

    def rooms(self, look: Look, edges: int) -> Iterator[list[State]]:
        """Yield, for each empty corner of a piece, the parts that notches there can leave.

        A notch is as large as what it leaves with a kerf added, as all sums are.
        """
        for hollow in look.hollows:
            yield [
                (edges & hollow.sides, self.across.within(width), self.up.within(height))
                for width, height in hollow.notches
            ]

    def price(self, block: Block) -> int:
        """Return what a piece or nest is worth by itself."""
        return sum(self.offers[number].price for number in block.group)

    def single(self, block: Block, edges: int) -> int:
        """Return what a piece or nest is worth, with the best that empty corners can host."""
        hosted = (max(map(self.of, rooms)) for rooms in self.rooms(block.look, edges))
        return self.price(block) + sum(hosted)

    def _lengths(self, size: Callable[[Look], int]) -> list[Length]:
        """Return what pieces and nests measure along a side, each way of lying once."""
        found = {(size(block.look), block.group): block for block in self.blocks}
        return [
            Length(
                length + self.kerf,
                self.price(block),
                min(self.offers[number].wanted // group.count(number) for number in group),
            )
            for (length, group), block in sorted(found.items(), key=lambda item: item[0])
        ]

    def _wished(self) -> int:
        """Return the sides that anything wants to be factory edges."""
        wished = 0
        for block in self.blocks:
            wished |= block.look.wants
        return wished

    def _looks(self) -> int:
        """Return how many steps it takes for one set of factory edges; those across are quick."""
        across, up = (sum(map(len, axis.pairs)) for axis in (self.across, self.up))
        return across * (1 + len(self.up) // 10) + up * len(self.across)

    def _fill(self, edges: int) -> None:
        self.worth[edges] = columns = list[list[int]]()
        first, second = self.worth[edges & ~RIGHT], self.worth[edges & ~LEFT]
        for column in range(len(self.across)):
            best = list(columns[-1]) if columns else [0] * len(self.up)
            for one, other in self.across.pairs[column]:
                best = list(map(max, best, map(add, first[one], second[other])))
            columns.append(best)
            self._fill_upwards(edges, column)

    def _fill_upwards(self, edges: int, column: int) -> None:
        worth = self.worth[edges][column]
        lower, upper = self.worth[edges & ~TOP][column], self.worth[edges & ~BOTTOM][column]
        for row in range(1, len(worth)):
            best = max(worth[row], worth[row - 1])
            for one, other in self.up.pairs[row]:
                best = max(best, lower[one] + upper[other])
            for block in self.at.get((column, row), ()):
                if not block.look.wants & ~edges:
                    best = max(best, self.single(block, edges))
            worth[row] = best
