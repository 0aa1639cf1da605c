"""From kinds and sheets to the fewest new sheets, with a bound: the search, step by step.

1. A first plan, largest piece first.
2. All patterns of each sheet, when they can be listed.
3. The relaxation over them. What is not listed is found: by filling sheets by lot, which soon
   makes a good plan, then by an exact search, whose prices prove a bound.
4. Rounding, plans dug out of the relaxation, then the integer program, until plan and bound meet.
5. Among plans with as few sheets: fewer cuts, then larger leftovers.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from cutopt.solver import effort
from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.cutters import Router, cut_apart
from cutopt.solver.dive import WHOLE, End, dive_among
from cutopt.solver.dual_feasible import proof_by_functions
from cutopt.solver.extras import without_extras
from cutopt.solver.finding import Finder
from cutopt.solver.first_plan import Short, first_plan
from cutopt.solver.listed import better_listed, proof_by_listed, useful_ones
from cutopt.solver.master import (
    Columns,
    Prices,
    Watch,
    proof_by_area,
)
from cutopt.solver.missing import with_missing
from cutopt.solver.nests import Nests, list_nests
from cutopt.solver.patterns import Pattern, cuttings_of, list_patterns, pattern_of
from cutopt.solver.pool import Pool
from cutopt.solver.preferences import Wishes, follow, usual_choice
from cutopt.solver.problem import Cutting, Problem, Proof, Solution
from cutopt.solver.rest import Rest
from cutopt.solver.rounding import filled_up
from cutopt.solver.stand_in import places_of
from cutopt.solver.successive import Successive
from cutopt.solver.tracing import MANY_KINDS
from cutopt.stop import Progress, Reason, Stop

#: How much is listed: first what takes a fraction of a second, then all that memory allows.
EFFORTS = (Caps(pairs=400_000, blocks=40_000), Caps(pairs=8_000_000, blocks=800_000))


def solve(
    problem: Problem, stop: Stop, seed: int = 0, name: str = "", wishes: Wishes | None = None
) -> Solution:
    """Return the best cutting found before `stop` says so, and a bound that holds.

    Parameters
    ----------
    problem : Problem
        Every kind fits a new sheet in one of its stands. Where there may be too few new sheets,
        those missing bear numbers beyond the problem's own.
    stop : Stop
        Asked between steps and ten times a second within the integer program.
    seed : int
        Seeds the integer program.
    name : str
        What progress calls the sheet.
    wishes : Wishes, optional
        What is preferred among plans that cost as little: by default fewer cuts.
    """
    if not problem.kinds:
        return Solution((), 0, followed=True)
    search = _Search(problem, stop, seed, name)
    try:
        search.start()
    except Short:  # what is beyond the limits then costs more than all the rest
        search = _Search(with_missing(problem), stop, seed, name)
        search.start()
    for caps in EFFORTS:
        if search.list_patterns(caps):
            search.fill()
            search.go_through()
    search.use_up()
    search.prefer(wishes or Wishes())
    why = search.why or ("done" if search.is_through else "time")
    return Solution(tuple(search.best), search.bound, why, search.proof, search.followed)


@dataclass
class _Search:
    problem: Problem
    stop: Stop
    seed: int
    name: str
    best: list[Cutting] = field(default_factory=list)
    bound: int = 0
    proof: Proof | None = None
    why: Reason | None = None
    followed: bool = False
    is_relaxed: bool = False
    seconds: float = math.inf
    kept: float = field(init=False)
    nests: list[Nests] = field(default_factory=list)
    blocks: list[Blocks] = field(default_factory=list)
    patterns: list[Pattern] = field(default_factory=list)
    prices: Prices | None = None
    rounded: Prices | None = None
    pool: Pool = field(init=False)
    router: Router = field(init=False)
    finder: Finder = field(init=False)
    rest: Rest = field(init=False)
    chance: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        self.kept = effort.ROUNDING if self._many_kinds else effort.CHOOSING
        self.chance = np.random.default_rng(self.seed)
        self.router = Router(self.problem.cutters, self.problem.kerf)
        self.pool = Pool(self.problem, self.router)
        self.rest = Rest(self.problem, self.router, self.nests, self._watch_rest, self.seed)
        self.finder = Finder(
            self.problem,
            self.nests,
            self.seed,
            self._goes_on,
            lambda: self._has_time,
            self.pool.is_known,
            self._prove,
        )

    def start(self) -> None:
        """Make the first plan."""
        self.seconds = self.stop.seconds_left()
        plan = first_plan(self.problem, self.problem.demands)
        self.best = cut_apart(self.problem, plan, self.router)
        if not self.problem.has_enough(self.best):
            raise Short
        self._prove(proof_by_area(self.problem))
        self._goes_on("first plan")

    def list_patterns(self, caps: Caps) -> bool:
        """List the patterns of every sheet, as far as the caps allow; False when of no more use."""
        hopeless = any(one.is_hopeless(caps) for one in self.blocks) or not self._has_time
        if self._proven or self._all_listed or hopeless or not self._goes_on("listing patterns"):
            return False
        self._list(caps)
        return True

    def _list(self, caps: Caps) -> None:
        if not self.nests:
            self.nests += [
                list_nests(self.problem, sheet, lambda: self._goes_on("nesting slanted pieces"))
                for sheet in self.problem.sheets
            ]
        # Many nests are too many to be searched: they are listed as far as memory allows.
        caps = EFFORTS[-1] if any(nests.many for nests in self.nests) else caps
        self.blocks, self.patterns = [], []
        for number, sheet in enumerate(self.problem.sheets):
            blocks = Blocks(self.problem, sheet, self.nests[number], caps).grow(
                lambda: self._goes_on("listing patterns")
            )
            self.blocks.append(blocks)
            if blocks.complete and sum(map(len, blocks.levels)) <= 4 * effort.MOST_COLUMNS:
                listing = list_patterns(self.problem, number, blocks)
                self.patterns += listing.patterns
                if len(listing.maximal) <= effort.MOST_COLUMNS:
                    self.pool.add(listing.patterns[row] for row in listing.maximal)
                if self.pool.uncut:  # what such a pattern contains may be cut all the same
                    self.pool.add(listing.patterns[: effort.MOST_COLUMNS])
        self.pool.add(pattern_of(cutting.sheet, cutting.tree) for cutting in self.best)
        self.finder.blocks = self.blocks

    def fill(self) -> None:
        """Where not all is listed, plan with the patterns that filling sheets by lot finds."""
        if not self._exhausted:
            if proof := proof_by_functions(self.problem):
                self._prove(proof)
            if places := places_of(self.problem) if self._many_kinds else []:
                with self.pool.standing_in(places):
                    self._relax(self.finder.find)
                self.prices = self.pool.solved()
            else:
                self._relax(self.finder.find if self._many_kinds else self.finder.fill)
            self.round()
            self.dive(self.finder.fill, effort.DIVING if self._many_kinds else effort.GLANCING)

    def go_through(self) -> None:
        """Relax, and go on from there to whole numbers."""
        self.relax()
        self.round()
        self.dive(self.finder.dig)
        self.choose()

    def use_up(self) -> None:
        """Where the relaxation was left for want of time, go on with what was kept of it."""
        if self.prices and not (self._proven or self.is_relaxed):
            self.kept = effort.DIGGING
            self.go_through()

    def relax(self) -> None:
        """Solve the relaxation, adding patterns until none is worth more than its sheet.

        As soon as it leaves room for a better plan, one is dug for; for longer where it could
        prove no more than is proven already.
        """
        if self.prices and self.prices.value > self._room:
            kept, self.kept = self.kept, effort.DIGGING
            self._relax(self.finder.find, self._room)
            self.kept = kept
            if self.prices.value > self._room:
                return
            self.dive(self.finder.fill, effort.GLANCING)
        kept = self.kept
        if self.prices and math.ceil(self.prices.value - WHOLE) <= self.bound:
            self.dive(self.finder.fill)
            if math.isfinite(self.seconds):
                self.kept = max(kept, effort.DOUBTFUL * self.stop.seconds_left() / self.seconds)
        self._relax(self.finder.find)
        self.kept = kept

    def _relax(self, find: Callable[[Prices], list[Pattern]], enough: float = -math.inf) -> None:
        while not self._proven and self._has_time and self._goes_on("relaxation"):
            self.prices = self.pool.solved()
            if self.prices.value <= enough:
                return
            if not self._exhausted:
                self.prices = self.pool.forget(self.prices)
            better = better_listed(self.blocks, self.prices, self.pool.is_known) or find(
                self.prices
            )
            if not better or not self.pool.add(better):
                self.is_relaxed = find == self.finder.find and self._has_time
                return

    def round(self) -> None:
        """Round the relaxation down and plan the rest; again where chance has a say in that."""
        if not self._proven and self.prices and self.prices is not self.rounded:
            self.rounded = self.prices
            amounts = [int(amount + WHOLE) for amount in self.prices.amounts]
            for _ in range(effort.ROUNDINGS if self._plans_by_sheet else 1):
                self._fill_up(self.pool, amounts)
                if self._proven or not self._goes_on("rounding"):
                    return

    def _fill_up(self, pool: Pool, amounts: Sequence[int]) -> None:
        """Use each column so often, and plan the rest from scratch."""
        self._keep(filled_up(self.problem, pool.first(len(amounts)), amounts, self._planned))

    def _planned(self, wanted: Sequence[int]) -> list[Cutting] | None:
        """Plan so many of each sheet after sheet, where that is of use."""
        if not (self.prices and self._plans_by_sheet):
            return None
        columns = self.pool.first(len(self.prices.amounts))
        goes_on = partial(self._goes_on, "filling sheets")
        return Successive(self.problem, self.prices, self.chance, goes_on).plan(columns, wanted)

    def dive(self, find: Callable[[Prices], list[Pattern]], leaves: float = effort.DIVING) -> None:
        """Dig plans out of the relaxation, where patterns had to be searched for.

        Some part of the time that is left stays untouched.
        """
        if self._proven or self._exhausted or not self.prices:
            return
        at_once = effort.AT_ONCE if self._many_kinds else 0.0
        least, vain = leaves * self.stop.seconds_left(), 0

        def goes_on() -> bool:
            has_time = math.isinf(least) or self.stop.seconds_left() > least
            return has_time and self._goes_on("diving")

        while vain < effort.PLUNGES and not self._proven and goes_on():
            if vain % effort.AFRESH == 0:
                columns = self.pool.nearest(effort.NEAREST * len(self.problem.kinds))
                dive = dive_among(self.pool, columns, find, goes_on, self.chance, at_once)
            end, amounts = dive.plunge(self._new_sheets)
            if end is End.TOO_MANY:
                return
            if end is End.STOPPED:
                self._fill_up(columns, amounts)
                return
            is_better = self._use(columns, amounts)
            is_better = is_better or self._keep(self.rest.plan(columns, dive.steps, self._room))
            vain = 0 if is_better else vain + 1

    def _use(self, pool: Pool, amounts: Sequence[int]) -> bool:
        """Keep the plan that uses each column so often, if it is better than the best one."""
        columns = pool.first(len(amounts))
        costs = (self.problem.costs[pattern.sheet] for pattern in columns)
        if not any(amounts) or sum(map(int.__mul__, costs, amounts)) >= self._new_sheets:
            return False
        return self._keep(without_extras(self.problem, cuttings_of(columns, amounts)))

    def choose(self) -> None:
        """Run the integer program over the columns."""
        if self._proven or not self._goes_on("integer program"):
            return
        pool = self.pool if self._all_listed else self.pool.within(self._room)
        if not pool.columns:
            return
        amounts, bound = Columns(self.problem, pool.first(len(pool))).fewest(
            self._watch(self._seconds_to_choose, effort.NODES_FEWEST, "integer program"), self.seed
        )
        if self._all_listed and not self.pool.uncut:
            if self.proof is None or self.proof.proves < bound:
                self._prove(proof_by_listed(self.problem, self.blocks, self.pool.solved()))
            self.bound = max(self.bound, bound)
        self._use(pool, amounts or ())

    def prefer(self, wishes: Wishes) -> None:
        """Among plans that cost as little, follow the wishes in turn."""
        if not (wishes.usual or self.patterns):
            self._list(EFFORTS[0])
        if not self._all_listed or not self._goes_on(wishes.order[0]):
            return
        useful = useful_ones(self.blocks, self.patterns, self.prices, self._new_sheets)
        useful = list(filter(self.pool.is_cut, useful))
        if useful and len(useful) <= effort.MOST_PREFERRED:
            seconds = min(effort.SECONDS_PREFERRED, self.stop.seconds_left())
            watch = self._watch(seconds, effort.NODES_PREFERRED, wishes.order[0])
            chosen = usual_choice(self.problem, useful, self.best, watch, self.seed)
            if chosen and not wishes.usual:
                watch = self._watch(
                    self.stop.seconds_left(), effort.NODES_PREFERRED, wishes.order[0]
                )
                chosen = follow(self.problem, useful, wishes, chosen, (watch, self.seed))
            self.followed = bool(chosen) and self.router.can_cut_all(self.problem, chosen)
            self.best = chosen if self.followed else self.best

    @property
    def _new_sheets(self) -> int:
        return self.problem.cost_of(self.best)

    @property
    def _proven(self) -> bool:
        return self._new_sheets <= self.bound

    @property
    def is_through(self) -> bool:
        """Tell whether nothing was left for want of time."""
        endless = math.isinf(self.seconds)
        return endless or self._proven or self.is_relaxed or (bool(self.blocks) and self._exhausted)

    @property
    def _room(self) -> float:
        """Return the most that a relaxation with a better plan in it costs."""
        return self._new_sheets - 1 + WHOLE

    @property
    def _seconds_to_choose(self) -> float:
        """Return all seconds that are left, or some where the relaxation has a use for them."""
        left = self.stop.seconds_left()
        return left if self._exhausted or self.is_relaxed else effort.LEFT_TO_RELAX * left

    @property
    def _many_kinds(self) -> bool:
        return len(self.problem.kinds) > MANY_KINDS

    @property
    def _plans_by_sheet(self) -> bool:
        return self._many_kinds and Successive.serves(self.problem)

    @property
    def _exhausted(self) -> bool:
        return all(blocks.exhausted for blocks in self.blocks)

    @property
    def _all_listed(self) -> bool:
        few = (sum(map(len, blocks.levels)) <= effort.MOST_COLUMNS for blocks in self.blocks)
        return bool(self.patterns) and all(one.complete for one in self.blocks) and all(few)

    @property
    def _has_time(self) -> bool:
        """Tell whether there is still time to look for patterns, with some left to choose."""
        left = self.stop.seconds_left()
        return math.isinf(left) or left > self.kept * self.seconds

    def _goes_on(self, step: str) -> bool:
        progress = Progress(self.name, step, self._new_sheets if self.best else None, self.bound)
        self.why = self.why or self.stop.reason(progress)
        return self.why is None

    def _watch_rest(self) -> Watch:
        return self._watch(self.stop.seconds_left(), effort.NODES_REST, "diving")

    def _watch(self, seconds: float, nodes: int, step: str) -> Watch:
        return Watch(seconds, nodes, lambda: not self._goes_on(step))

    def _keep(self, cuttings: list[Cutting] | None) -> bool:
        """Keep a plan if it is better than the best one; tell whether it is."""
        is_better = (
            cuttings is not None
            and self.problem.cost_of(cuttings) < self._new_sheets
            and self.problem.has_enough(cuttings)
            and self.router.can_cut_all(self.problem, cuttings)
        )
        self.best = cuttings if cuttings and is_better else self.best
        return is_better

    def _prove(self, proof: Proof) -> bool:
        """Keep prices that prove more than those so far; tell whether all is proven."""
        if self.proof is None or proof.proves > self.proof.proves:
            self.proof, self.bound = proof, max(self.bound, proof.proves)
        return self._proven
