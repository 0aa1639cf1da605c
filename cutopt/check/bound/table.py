"""The most that any part of a tile is worth at given prices: dynamic programming over its cuts.

A kerf is added to every size and to the part itself, so that a cut takes nothing. Which
widths and heights need be looked at is told by `sums`.

The table is to tell whether anything comes out of a tile that is worth more than a limit. How
often a piece is taken from one tile is not counted: so the table may say too much, never too
little. Where there is too much to look at, sizes are rounded down to steps of the part: what fits
the part then fits it all the more, and again the table may only say more.
"""

from collections.abc import Callable, Iterator, Sequence
from operator import add

from cutopt.check.bound.offers import BOTTOM, LEFT, RIGHT, TOP, Block, Look, Offer, Part
from cutopt.check.bound.sums import Axis, Length, exact_axis, stepped_axis

#: Cuts that the table may look at; at some five millions a second.
MOST_LOOKS = 60_000_000


class TooMuchToLookAt(Exception):  # noqa: N818 - reads as the sentence it is
    """The proof would take longer than anybody would wait for it."""


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
        self.across, self.up = self._laid_out(part, limit)
        if len(self.up) > len(self.across):  # short columns, filled one by one
            self.across, self.up = self.up, self.across
            self.blocks = [Block(block.group, block.look.mirrored) for block in self.blocks]
            part = part.mirrored
        self.start = part.edges & self._wished()
        self.whole: State = self.start, len(self.across) - 1, len(self.up) - 1
        self.at: dict[tuple[int, int], list[Block]] = {}
        for block in self.blocks:
            width, height = block.look.width + kerf, block.look.height + kerf
            place = self.across.holding(width), self.up.holding(height)
            self.at.setdefault(place, []).append(block)
        self.worth: dict[int, list[list[int]]] = {}
        for edges in sorted(_subsets(self.start), key=int.bit_count):
            self._fill(edges)

    def _laid_out(self, part: Part, limit: int) -> tuple[Axis, Axis]:
        """Return the widths and heights to look at."""
        wide, high = self._lengths(lambda look: look.width), self._lengths(lambda look: look.height)
        rooms = [
            (part.width + self.kerf, part.height + self.kerf),
            *(
                notch
                for block in self.blocks
                for hollow in block.look.hollows
                for notch in hollow.notches
            ),
        ]
        widths, heights = ([room[way] for room in rooms] for way in (0, 1))
        tables = len(_subsets(part.edges & self._wished()))
        for axis_of in (exact_axis, stepped_axis):
            across, up = axis_of(wide, widths, limit), axis_of(high, heights, limit)
            if across and up and _looks(across, up) * tables <= MOST_LOOKS:
                return across, up
        raise TooMuchToLookAt

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


def _looks(across: Axis, up: Axis) -> int:
    """Return how many steps it takes for one set of factory edges; those across are quick.

    The longer side lies across.
    """
    up, across = sorted((across, up), key=len)
    wide, high = (sum(map(len, axis.pairs)) for axis in (across, up))
    return wide * (1 + len(up) // 10) + high * len(across)


def _subsets(edges: int) -> list[int]:
    """Return the sets of factory edges that cuts can leave."""
    return [some for some in range(edges + 1) if not some & ~edges]
