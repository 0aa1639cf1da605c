"""A smaller piece lies wherever a larger one does: with very many sizes each pattern serves many.

Columns that give up one of a larger kind for one of a smaller kind leave the value of the
relaxation over all patterns what it is, and bring it down much sooner over few patterns
(Valerio de Carvalho, INFORMS Journal on Computing 17, 2005: dual cuts). Prices then never rise
from a larger kind to a smaller one. What such a relaxation uses is turned into patterns
afterwards: each place of a larger piece is given to the smaller ones in turn.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import ACROSS, UPWARDS, Join, Kind, Leaf, Problem, Tree
from cutopt.solver.tools import Cutters

#: With more kinds than this the relaxation takes too long to be solved once more afterwards.
MOST_KINDS = 2_500
#: Larger kinds that each kind stands in for: those next to it in size.
NEXT = 3
#: What part of a sheet counts as nothing.
NOTHING = 1e-9
#: Kinds that are compared with all others at once.
AT_ONCE = 200

#: Kinds: the larger one, and the smaller one that may lie in its place.
Places = tuple[int, int]


def places_of(problem: Problem) -> list[Places]:
    """Return which kinds may lie in the place of which others, as far as they are next in size.

    None where pieces have notches or slanted edges, where not every cut can be made, or where
    there are too many kinds.
    """
    if len(problem.kinds) > MOST_KINDS:
        return []
    stands = [stand for kind in problem.kinds for stand in kind.stands]
    plain = [number for number, kind in enumerate(problem.kinds) if _is_free(kind)]
    if problem.cutters != Cutters() or any(stand.pockets or stand.hull for stand in stands):
        return []
    if not plain:
        return []
    sizes = _Sizes.of([problem.kinds[number] for number in plain])
    found = []
    for start in range(0, len(plain), AT_ONCE):
        smaller = np.arange(start, min(start + AT_ONCE, len(plain)))
        for row, number in zip(sizes.hold(smaller), smaller.tolist(), strict=True):
            larger = np.flatnonzero(row)
            nearest = larger[np.argsort(sizes.area[larger], kind="stable")[:NEXT]]
            found += [(plain[other], plain[number]) for other in nearest.tolist()]
    return found


def _is_free(kind: Kind) -> bool:
    """Tell whether no two edges that face each other hold a kind, however it lies."""
    opposite = (ACROSS, UPWARDS)
    return not any(stand.wants & both == both for stand in kind.stands for both in opposite)


@dataclass(frozen=True)
class _Sizes:
    """How kinds lie: a row each, the last stand repeated where there are fewer than four."""

    width: NDArray[np.int64]
    height: NDArray[np.int64]
    wants: NDArray[np.int64]
    lots: NDArray[np.int64]
    area: NDArray[np.float64]

    @classmethod
    def of(cls, kinds: Sequence[Kind]) -> "_Sizes":
        rows = [[*kind.stands, *kind.stands[-1:] * 4][:4] for kind in kinds]
        lots: dict[frozenset[int] | None, int] = {}
        width, height, wants = (
            np.array([[getattr(stand, name) for stand in row] for row in rows], np.int64)
            for name in ("width", "height", "wants")
        )
        area = np.asarray(width[:, 0].astype(float) * height[:, 0], np.float64)
        lot = np.array([lots.setdefault(kind.lots, len(lots)) for kind in kinds], np.int64)
        return cls(width, height, wants, lot, area)

    def hold(self, smaller: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Tell for each of some kinds (rows) which kinds hold it, whichever way these lie."""
        held: NDArray[np.bool_] = self.lots[smaller, None] == self.lots[None, :]
        held &= self.area[smaller, None] < self.area[None, :]
        for way in range(4):
            wide, high = self.width[None, :, way], self.height[None, :, way]
            wish = self.wants[None, :, way]
            held &= np.any(
                [
                    (self.width[smaller, None, own] <= wide)
                    & (self.height[smaller, None, own] <= high)
                    & (self.wants[smaller, None, own] == wish)
                    for own in range(4)
                ],
                axis=0,
            )
        return held


def exchanged(
    problem: Problem,
    used: Iterable[tuple[Pattern, float]],
    given_up: Mapping[Places, float],
) -> Iterator[Pattern]:
    """Yield the patterns that a relaxation uses once places are given to smaller pieces.

    Parameters
    ----------
    used : iterable of tuple
        Patterns, and how often.
    given_up : mapping
        How many places of a larger kind a smaller one takes.
    """
    used = list(used)
    shares = _shares(problem, used, given_up)
    for pattern, amount in used:
        kinds = sorted(pattern.kinds)
        ends = [np.cumsum([part for _, part in shares[kind]]) for kind in kinds]
        # Places are given away in turn: as one is passed on, all others stay as they are.
        borders = np.unique(np.concatenate([np.zeros(1), *(each[:-1] for each in ends)]))
        for at in borders[borders < 1 - NOTHING / amount].tolist():
            taken = tuple(
                shares[kind][min(int(np.searchsorted(each, at, side="right")), len(each) - 1)][0]
                for kind, each in zip(kinds, ends, strict=True)
            )
            yield _with(problem, pattern, kinds, taken)


def _shares(
    problem: Problem, used: Sequence[tuple[Pattern, float]], given_up: Mapping[Places, float]
) -> list[list[tuple[int, float]]]:
    """Return which kinds take the places of each kind in the end, and what part of them."""
    supply = np.zeros(len(problem.kinds))
    for pattern, amount in used:
        np.add.at(supply, list(pattern.kinds), amount)
    takers = defaultdict[int, list[tuple[int, float]]](list)
    for (larger, smaller), amount in given_up.items():
        if amount > NOTHING:
            takers[larger].append((smaller, amount))
            supply[smaller] += amount
    shares: list[list[tuple[int, float]]] = [[] for _ in problem.kinds]
    area = [kind.stands[0].width * kind.stands[0].height for kind in problem.kinds]
    for kind in sorted(range(len(problem.kinds)), key=area.__getitem__):  # takers come before
        parts = defaultdict[int, float](float)
        kept = 1.0
        for smaller, amount in takers[kind]:
            part = amount / max(supply[kind], amount)
            kept -= part
            for last, share in shares[smaller]:
                parts[last] += part * share
        if kept > NOTHING or not parts:
            parts[kind] += max(kept, NOTHING)
        total = sum(parts.values())
        shares[kind] = [(last, part / total) for last, part in parts.items()]
    return shares


def _with(
    problem: Problem, pattern: Pattern, kinds: Sequence[int], taken: tuple[int, ...]
) -> Pattern:
    """Return a pattern with other kinds in its places."""
    if tuple(kinds) == taken:
        return pattern
    return Pattern(
        pattern.sheet,
        tuple(sorted(taken)),
        pattern.cuts,
        0,
        lambda: _retaken(problem, pattern.make_tree(), list(zip(kinds, taken, strict=True))),
    )


def _retaken(problem: Problem, tree: Tree, places: list[tuple[int, int]]) -> Tree:
    """Return a tree with each place of a kind given to the next one that takes it."""
    if isinstance(tree, Join):
        first = _retaken(problem, tree.first, places)
        return Join(first, _retaken(problem, tree.second, places), tree.beside, tree.kerf)
    if not isinstance(tree, Leaf):
        raise ValueError("only plain pieces take the place of others")
    at = next(at for at, (kind, _) in enumerate(places) if kind == tree.kind)
    _, taken = places.pop(at)
    stand = next(
        stand
        for stand in problem.kinds[taken].stands
        if stand.width <= tree.stand.width
        and stand.height <= tree.stand.height
        and stand.wants == tree.stand.wants
    )
    return Leaf(taken, stand)
