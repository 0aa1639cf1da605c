"""What a plunge leaves: so few pieces that all their patterns can be listed, planned exactly.

A plunge fixes columns that cost next to nothing more than the relaxation, and is lost at the
end, where few pieces are left and no pattern is spare any more. There all patterns are listed
and the integer program finds the plan that steps by lot do not hit upon.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.cutters import Router
from cutopt.solver.dive import Step
from cutopt.solver.extras import without_extras
from cutopt.solver.master import Columns, Watch
from cutopt.solver.nests import Nests
from cutopt.solver.patterns import Pattern, cuttings_of, list_patterns
from cutopt.solver.pool import Pool
from cutopt.solver.problem import Cutting, Join, Leaf, Problem, Tree

#: Pieces that are planned exactly, to begin with, and at the least.
MOST, LEAST = 30, 12
#: What is listed of them; where that is not all, the next time it is a tenth less.
CAPS = Caps(pairs=400_000, blocks=40_000)


@dataclass
class Rest:
    """Plans what plunges leave of one problem.

    Attributes
    ----------
    most : int
        With more pieces than this nothing is planned: not all patterns could be listed.
    """

    problem: Problem
    router: Router
    nests: Sequence[Nests]
    watch: Callable[[], Watch]
    seed: int
    most: int = MOST

    @property
    def is_of_use(self) -> bool:
        """Tell whether sheets suffice for all that is left, and all its patterns can be listed."""
        sheets = self.problem.sheets
        endless = all(sheets[number].limit is None for number in self.problem.to_buy)
        nested = any(nests.listed for nests in self.nests)
        return endless and not nested and self.problem.cutters.saw is None

    def plan(self, columns: Pool, steps: Sequence[Step], room: float) -> list[Cutting] | None:
        """Return a plan that costs no more than `room`, from the first step that leaves few."""
        step = next((step for step in steps if sum(step.wanted) <= self.most), None)
        if step is None or not any(step.wanted) or not self.is_of_use:
            return None
        fixed = [step.fixed.get(column, 0) for column in range(max(step.fixed) + 1)]
        begun = cuttings_of(columns.first(len(fixed)), fixed)
        left = _Left.of(self.problem, step.wanted, begun)
        ended = self._planned(left.problem, room - self.problem.cost_of(begun))
        return ended and without_extras(self.problem, begun + left.numbered(ended))

    def _planned(self, problem: Problem, room: float) -> list[Cutting] | None:
        pool, listed, watch = Pool(problem, self.router), 0, self.watch()
        for number, sheet in enumerate(problem.sheets):
            blocks = Blocks(problem, sheet, caps=CAPS).grow(lambda: not watch.cancelled())
            if not blocks.complete:
                self.most = max(LEAST, self.most * 9 // 10)
                return None
            listed += sum(map(len, blocks.levels))
            listing = list_patterns(problem, number, blocks)
            pool.add(listing.patterns[row] for row in listing.maximal)
        self.most += listed < CAPS.blocks // 2
        if pool.solved().value > room:
            return None
        patterns = pool.within(room).first(len(pool))
        amounts, _ = Columns(problem, patterns).fewest(watch, self.seed)
        return _within(problem, patterns, amounts or (), room)


def _within(
    problem: Problem, patterns: Sequence[Pattern], amounts: Sequence[int], room: float
) -> list[Cutting] | None:
    """Return the plan if there is one that costs no more than `room`."""
    cuttings = cuttings_of(patterns[: len(amounts)], amounts)
    return cuttings if cuttings and problem.cost_of(cuttings) <= room else None


@dataclass(frozen=True)
class _Left:
    """A problem that holds only what is left of a larger one, and the numbers it had there."""

    problem: Problem
    kinds: Sequence[int]
    sheets: Sequence[int]

    @classmethod
    def of(cls, whole: Problem, wanted: Sequence[int], begun: Sequence[Cutting]) -> "_Left":
        used = Counter[int]()
        for cutting in begun:
            used[cutting.sheet] += cutting.count
        kinds = [kind for kind, many in enumerate(wanted) if many]
        sheets, left = [], []
        for number, sheet in enumerate(whole.sheets):
            limit = None if sheet.limit is None else sheet.limit - used[number]
            if limit is None or limit > 0:
                sheets.append(number)
                left.append(replace(sheet, limit=limit, cost=whole.costs[number]))
        wanted_ones = (replace(whole.kinds[kind], demand=wanted[kind]) for kind in kinds)
        problem = Problem(tuple(wanted_ones), tuple(left), whole.kerf, whole.cutters)
        return cls(problem, kinds, sheets)

    def numbered(self, cuttings: Sequence[Cutting]) -> list[Cutting]:
        """Return cuttings with the numbers of the larger problem."""
        return [
            Cutting(self.sheets[one.sheet], self._numbered(one.tree), one.count) for one in cuttings
        ]

    def _numbered(self, tree: Tree) -> Tree:
        if isinstance(tree, Join):
            first, second = self._numbered(tree.first), self._numbered(tree.second)
            return Join(first, second, tree.beside, tree.kerf)
        if isinstance(tree, Leaf):
            fills = tuple((number, self._numbered(guest)) for number, guest in tree.fills)
            return Leaf(self.kinds[tree.kind], tree.stand, fills)
        raise ValueError("nests are not planned so")
