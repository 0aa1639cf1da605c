"""Many sheets filled at once, each in an order drawn by lot: good patterns in milliseconds.

At given prices a sheet takes the dearest piece that fits, for its area or in itself, some chance
added, into the free rectangle that it fills best; two straight cuts part it off, and again, until
nothing fits. What one sheet misses another one hits upon: a hundred are filled in the time that
an exact search needs to begin. Every pattern so found can be cut, with each piece no more often
than it is wanted; how much better others could be, it cannot tell: that is `generation`'s part.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.first_plan import Room, part_off
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import (
    ACROSS,
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    UPWARDS,
    Leaf,
    Problem,
    Sheet,
    Tree,
    leaves_of,
)

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: Sheets that are filled at once: so many stands in all, within these limits.
LEAST_FILLED, MOST_FILLED, MOST_STANDS = 16, 100, 400_000
#: How much chance there is in the order (spread of the logarithm of what is dear).
CHANCE = (0.02, 0.1, 0.25, 0.5)
#: What the largest piece is worth at the least, in parts of `PRICE_SCALE`.
NEXT_TO_NOTHING = 100
#: How often the two cuts come in the other order.
CROSSED = (0.0, 0.1, 0.3)
#: How often the smallest free rectangle is taken instead of the one that leaves least beside.
BY_AREA = 1 / 3


@dataclass
class Filler:
    """Fills one sheet in many ways at once, again and again."""

    problem: Problem
    number: int
    chance: np.random.Generator

    def __post_init__(self) -> None:
        self.sheet = self.problem.sheets[self.number]
        self.stands = _Stands.of(self.problem, leaves_of(self.problem, self.sheet))
        # What is worth nothing fills up what else would be left empty.
        kinds = self.problem.kinds
        area = np.array([float(kind.stands[0].width * kind.stands[0].height) for kind in kinds])
        self.next_to_nothing = NEXT_TO_NOTHING * area / area.max()

    def fill(self, prices: Sequence[int], most: int, wanted: Sequence[int] = ()) -> list[Pattern]:
        """Return different patterns, those worth most at the prices first, `most` at the most.

        None holds more of a kind than are `wanted`, as many as the problem asks for by default.
        """
        worth = np.array(prices, float)
        if not worth[self.stands.kind].any():
            return []
        worth = np.maximum(worth, self.next_to_nothing)
        filled = _Sheets(self, worth, wanted or self.problem.demands)
        while filled.place():
            pass
        total, chosen = filled.counts @ worth, dict[bytes, int]()
        for row in np.argsort(-total, kind="stable").tolist():
            chosen.setdefault(filled.counts[row].tobytes(), row)
        return [self._pattern(filled, row) for row in list(chosen.values())[:most]]

    def _pattern(self, filled: "_Sheets", row: int) -> Pattern:
        steps = filled.steps_of(row)
        kinds = sorted(int(self.stands.kind[stand]) for _, stand, _ in steps)
        leaves, kerf, sheet = self.stands.leaves, self.problem.kerf, self.sheet
        placed = [(room, leaves[stand], beside) for room, stand, beside in steps]
        return Pattern(
            self.number, tuple(kinds), 2 * len(kinds), 0, lambda: _tree_of(placed, sheet, kerf)
        )


def _tree_of(placed: Sequence[tuple[int, Leaf, bool]], sheet: Sheet, kerf: int) -> Tree:
    """Return the cuts of a sheet whose free rectangles received pieces one after the other."""
    whole = Room(sheet.width, sheet.height, sheet.edges)
    rooms = [whole]
    for room, leaf, beside in placed:
        first, last = part_off(rooms[room], leaf, kerf, beside=beside)
        rooms[room] = first
        rooms.append(last)
    tree = whole.tree(kerf)
    if tree is None:
        raise ValueError("nothing was placed")
    return tree


@dataclass(frozen=True)
class _Stands:
    """The ways that pieces may lie, kerf added: an entry for each, in the order of `leaves`.

    Attributes
    ----------
    content : array of bool
        For each set of factory edges (16 rows), the stands that want no other.
    of_kind : array of int
        For each kind its stands, the last one repeated; 0 for kinds that do not fit at all.
    """

    leaves: list[Leaf]
    width: Ints
    height: Ints
    kind: Ints
    wants: Ints
    content: NDArray[np.bool_]
    of_kind: Ints

    @classmethod
    def of(cls, problem: Problem, leaves: list[Leaf]) -> "_Stands":
        own: list[list[int]] = [[] for _ in problem.kinds]
        for at, leaf in enumerate(leaves):
            own[leaf.kind].append(at)
        most = max(map(len, own), default=0)
        wants = np.array([leaf.stand.wants for leaf in leaves], np.int64)
        return cls(
            leaves,
            np.array([leaf.width + problem.kerf for leaf in leaves], np.int64),
            np.array([leaf.height + problem.kerf for leaf in leaves], np.int64),
            np.array([leaf.kind for leaf in leaves], np.int64),
            wants,
            wants[None, :] & ~np.arange(16)[:, None] == 0,
            np.array([(one + (one or [0])[-1:] * most)[:most] for one in own], np.int64),
        )

    def fit(self, stands: Ints | slice, room: Ints) -> Flags:
        """Tell which stands fit into rooms (their width, height and edges); both are broadcast."""
        width, height, edges = room
        wide, high, wants = self.width[stands], self.height[stands], self.wants[stands]
        fits: Flags = (wide <= width) & (high <= height)
        if self.wants.any():
            fits &= wants & ~edges == 0
            fits &= (wants & ACROSS != ACROSS) | (wide == width)
            fits &= (wants & UPWARDS != UPWARDS) | (high == height)
        return fits


class _Sheets:
    """Sheets that are being filled: their free rectangles, and what has been placed so far.

    After n pieces each sheet has n + 1 free rectangles; those of full sheets stay as they are.
    """

    def __init__(self, filler: Filler, worth: Floats, wanted: Sequence[int]) -> None:
        problem, sheet, self.stands = filler.problem, filler.sheet, filler.stands
        many = max(LEAST_FILLED, min(MOST_FILLED, MOST_STANDS // len(self.stands.kind)))
        self.chance = filler.chance
        self.key = _dear(worth, self.stands, many, self.chance)
        whole = sheet.width + problem.kerf, sheet.height + problem.kerf, sheet.edges
        self.rooms = np.full((3, many, 1), 0, np.int64) + np.array(whole)[:, None, None]
        self.fits = self.stands.fit(slice(None), self.rooms[:, :, :, None])
        left = np.where(worth > 0, np.array(wanted, np.int64), 0)
        self.left = left[None, :].repeat(many, 0)
        self.counts = np.zeros_like(self.left)
        self.crossed = self.chance.choice(CROSSED, many)
        self.by_area = self.chance.random(many) < BY_AREA
        self.going = np.arange(many)
        self.steps: list[tuple[NDArray[np.intp], Ints, Ints, Flags]] = []

    def place(self) -> bool:
        """Place a piece in every sheet that one fits into; False when it fits into none."""
        kind = self._dearest()
        if not len(self.going):
            return False
        room, stand = self._best_fit(kind)
        self.steps.append((self.going, room, stand, self._part_off(room, stand)))
        self.left[self.going, kind] -= 1
        self.counts[self.going, kind] += 1
        return True

    def steps_of(self, row: int) -> list[tuple[int, int, bool]]:
        """Return what was placed in a sheet: room, stand, whether the first cut runs beside it."""
        found = []
        for going, room, stand, beside in self.steps:
            at = int(np.searchsorted(going, row))
            if at == len(going) or going[at] != row:
                break
            found.append((int(room[at]), int(stand[at]), bool(beside[at])))
        return found

    def _dearest(self) -> Ints:
        """Return the dearest kind that fits each sheet; those that nothing fits are full."""
        going, kind = self.going, self.stands.kind
        fits = self.fits[going].any(1) & (self.left[going] > 0)[:, kind]
        best = np.where(fits, self.key[going], -np.inf).argmax(1)
        has = fits[np.arange(len(going)), best]
        self.going = going[has]
        return np.asarray(kind[best[has]])

    def _best_fit(self, kind: Ints) -> tuple[Ints, Ints]:
        """Return the room that each piece fills best and its stand there."""
        stands = self.stands.of_kind[kind][:, None, :]
        rooms = self.rooms[:, self.going, :, None]
        beside, above = rooms[0] - self.stands.width[stands], rooms[1] - self.stands.height[stands]
        short = np.minimum(beside, above) + 1e-3 * np.maximum(beside, above)
        area = rooms[0].astype(float) * rooms[1]
        slack = np.where(self.by_area[self.going, None, None], area, short)
        slack = np.where(self.stands.fit(stands, rooms), slack, np.inf)
        best = slack.reshape(len(self.going), -1).argmin(1)
        room, turn = np.divmod(best, stands.shape[2])
        return room, stands[np.arange(len(best)), 0, turn]

    def _part_off(self, room: Ints, stand: Ints) -> Flags:
        """Let two free rectangles take the place of one, as `part_off` of the first plan does."""
        going, wants = self.going, self.stands.wants[stand]
        wide, high, edges = self.rooms[:, going, room]
        piece = self.stands.width[stand], self.stands.height[stand]
        right, top = wide - piece[0], high - piece[1]
        beside: Flags = right * high.astype(float) >= top * wide.astype(float)
        beside ^= self.chance.random(len(going)) < self.crossed[going]
        at_right, at_top = wants & RIGHT > 0, wants & TOP > 0
        # What lies beside the piece has lost its edge towards it, and another if it is cut last.
        cut_top = np.where(beside | (top == 0), 0, np.where(at_top, BOTTOM, TOP))
        cut_right = np.where(~beside | (right == 0), 0, np.where(at_right, LEFT, RIGHT))
        edges_beside = edges & ~np.where(at_right, RIGHT, LEFT) & ~cut_top
        edges_above = edges & ~np.where(at_top, TOP, BOTTOM) & ~cut_right
        by_side = np.stack([right, np.where(beside, high, piece[1]), edges_beside])
        above = np.stack([np.where(beside, piece[0], wide), top, edges_above])
        self._replace(room, np.where(beside, by_side, above), np.where(beside, above, by_side))
        return beside

    def _replace(self, room: Ints, first: Ints, last: Ints) -> None:
        """Put the first rectangle in the place of a room, the last one behind all."""
        many, rooms = self.rooms.shape[1], self.rooms.shape[2]
        self.rooms = np.concatenate([self.rooms, np.zeros((3, many, 1), np.int64)], axis=2)
        if rooms == self.fits.shape[1]:
            more = np.zeros((many, rooms, len(self.stands.kind)), bool)
            self.fits = np.concatenate([self.fits, more], axis=1)
        for at, part in ((room, first), (np.full_like(room, rooms), last)):
            self.rooms[:, self.going, at] = part
            self.fits[self.going, at] = self.stands.fit(slice(None), part[:, :, None])


def _dear(worth: Floats, stands: _Stands, many: int, chance: np.random.Generator) -> Floats:
    """Return how dear each stand is in each sheet: by worth, by worth for area, and by chance."""
    kinds = len(worth)
    taken = np.ones(kinds)
    taken[stands.kind] = stands.width.astype(float) * stands.height
    density = worth / taken
    for_area, spread = chance.uniform(0, 2, (many, 1)), chance.choice(CHANCE, (many, 1))
    with np.errstate(divide="ignore"):
        key = np.log(worth) + for_area * np.log(density / density.max())
    drawn = key + spread * chance.standard_normal((many, kinds))
    return np.asarray(drawn[:, stands.kind])
