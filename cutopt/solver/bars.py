"""Lengths out of bars on sale: the fewest bars, or the least cost, with a bound.

    least cost      minimise   sum of cost * x over patterns
    enough lengths  for each length   sum of count * x >= demand

Gilmore and Gomory, Operations Research 9 (1961): patterns are priced by a knapsack over the sums
of lengths. A cut between two lengths takes one kerf; between a length and the end of its bar there
may be less, so lengths and bars grow by one kerf each. The bound scales the prices so that no bar
holds more worth than it costs (Farley, Operations Research 38 (1990)), in whole numbers.
"""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python import mathopt

from cutopt.solver.bar_patterns import Counts, full_patterns, maximal_patterns
from cutopt.solver.master import PRICE_SCALE, Watch
from cutopt.stop import Progress, Reason, Stop

#: Sums of lengths that pricing keeps at once; beyond them it no longer proves anything.
MOST_SUMS = 400_000
NODES = 20_000
#: Patterns of all bars, when relaxation and rounding leave a gap.
MOST_LISTED = 20_000


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar on sale: its length and what one costs, in whole numbers; 1 to count bars."""

    length: int
    cost: int = 1


@dataclass(frozen=True, slots=True)
class CutBar:
    """One way of cutting a bar, done `times` times: how many of each length it gives."""

    bar: int
    counts: Counts
    times: int


@dataclass(frozen=True, slots=True)
class BarSolution:
    """The best cutting found; no cutting costs less than `bound`."""

    cut: tuple[CutBar, ...]
    cost: int
    bound: int
    stopped: str = "done"

    @property
    def proven(self) -> bool:
        """Tell whether nothing can cost less."""
        return self.cost <= self.bound


def cut_bars(
    bars: Sequence[Bar], lengths: Sequence[tuple[int, int]], kerf: int, stop: Stop, seed: int = 0
) -> BarSolution:
    """Return the cheapest way found to cut lengths, given with how many are wanted, from bars.

    Every length fits the longest bar; the lengths differ from one another.
    """
    if not lengths:
        return BarSolution((), 0, 0)
    search = _Search(
        tuple(bar.length + kerf for bar in bars),
        tuple(bar.cost for bar in bars),
        tuple(length + kerf for length, _ in lengths),
        tuple(demand for _, demand in lengths),
        stop,
    )
    search.run(seed)
    found = tuple(CutBar(bar, counts, times) for (bar, counts), times in search.best.items())
    return BarSolution(found, search.cost_of(search.best), search.bound, search.why or "done")


_Column = tuple[int, Counts]
_Use = dict[_Column, int]


@dataclass
class _Search:
    rooms: tuple[int, ...]
    costs: tuple[int, ...]
    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    stop: Stop
    columns: dict[_Column, None] = field(default_factory=dict)
    best: _Use = field(default_factory=dict)
    bound: int = 0
    why: Reason | None = None

    def run(self, seed: int) -> None:
        """Plan longest first, then relax, round and relax the rest, then choose exactly."""
        self.best = self.longest_first(self.demands)
        self.columns.update(dict.fromkeys(self.best))
        self._fill_to_the_brim(seed)
        rest, taken = self.demands, dict[_Column, int]()
        while any(rest) and not self._proven and self._goes_on("relaxation"):
            amounts = self._relaxed(rest, proves=rest == self.demands)
            rounded = {column: int(x + 1e-6) for column, x in amounts.items() if x > 1 - 1e-6}
            if not rounded:
                column = max(amounts, key=lambda one: (amounts[one], one))
                rounded = {column: 1}
            for column, times in rounded.items():
                taken[column] = taken.get(column, 0) + times
            rest = self._rest(taken)
            self._keep(_added(taken, self.longest_first(rest)))
        if not self._proven and self._goes_on("integer program"):
            every = self._every_pattern()
            self._keep(self._fewest(every or list(self.columns), seed, proves=every is not None))

    def _every_pattern(self) -> list[_Column] | None:
        """Return every pattern of every bar to which no length can be added, when they are few."""
        found: list[_Column] = []
        for bar, room in enumerate(self.rooms):
            patterns = maximal_patterns(self.sizes, self.demands, room, MOST_LISTED - len(found))
            if patterns is None:
                return None
            found += [(bar, counts) for counts in patterns]
        return found

    def _fill_to_the_brim(self, seed: int) -> None:
        """Try for as few bars as the sum of lengths needs, when few patterns waste so little.

        With as many bars as the sum needs, no bar wastes more than all of them may together.
        """
        if len(self.rooms) > 1 or not self._goes_on("full bars"):
            return
        (room,), total = self.rooms, sum(map(int.__mul__, self.sizes, self.demands))
        fewest = -(-total // room)
        self.bound = max(self.bound, fewest * self.costs[0])
        if self._proven:
            return
        if full := full_patterns(self.sizes, self.demands, room, fewest * room - total):
            columns = [(0, counts) for counts in full]
            self._keep(self._fewest(columns, seed, solver=mathopt.SolverType.HIGHS))

    def longest_first(self, demands: Counts) -> _Use:
        """Return a plan: each bar takes the longest length that still fits, again and again."""
        left, used = list(demands), dict[_Column, int]()
        order = sorted(range(len(left)), key=lambda one: -self.sizes[one])
        while any(left):
            columns = [self._filled(bar, left, order) for bar in range(len(self.rooms))]
            _, counts = column = max(columns, key=self._value)
            times = min(have // many for have, many in zip(left, counts, strict=True) if many)
            used[column] = used.get(column, 0) + times
            left = [have - times * many for have, many in zip(left, counts, strict=True)]
        return used

    def cost_of(self, used: _Use) -> int:
        """Return what a plan costs."""
        return sum(self.costs[bar] * times for (bar, _), times in used.items())

    def _filled(self, bar: int, left: Sequence[int], order: Sequence[int]) -> _Column:
        room, counts = self.rooms[bar], [0] * len(left)
        for one in order:
            counts[one] = min(left[one], room // self.sizes[one])
            room -= counts[one] * self.sizes[one]
        return bar, tuple(counts)

    def _value(self, column: _Column) -> tuple[float, int]:
        bar, counts = column
        held = sum(map(int.__mul__, counts, self.sizes))
        return held / max(self.costs[bar], 1e-9), -bar

    def _rest(self, taken: _Use) -> Counts:
        made = [0] * len(self.sizes)
        for (_, counts), times in taken.items():
            made = [have + times * many for have, many in zip(made, counts, strict=True)]
        return tuple(max(0, want - have) for want, have in zip(self.demands, made, strict=True))

    def _relaxed(self, demands: Counts, *, proves: bool) -> dict[_Column, float]:
        """Return the relaxation, patterns priced in until none is worth more than its bar."""
        # Proper patterns only: never more of a length than is still wanted.
        for column in self.longest_first(demands):
            self.columns.setdefault(column)
        amounts: dict[_Column, float] = {}
        while self._goes_on("relaxation"):
            amounts, prices = self._solve_relaxation(demands)
            priced = _Knapsack(self.sizes, demands, prices, self.rooms)
            if proves and priced.complete:
                self._prove(prices, priced.worths)
            better = [
                (bar, counts)
                for bar, (counts, worth) in enumerate(
                    zip(priced.counts, priced.worths, strict=True)
                )
                if worth > self.costs[bar] * PRICE_SCALE and (bar, counts) not in self.columns
            ]
            if not better:
                break
            self.columns.update(dict.fromkeys(better))
        return amounts or dict.fromkeys(self.longest_first(demands), 1.0)

    def _prove(self, prices: Counts, worths: Sequence[int]) -> None:
        total = sum(map(int.__mul__, prices, self.demands))
        step = math.gcd(*self.costs)
        proven = min(
            -(-total * cost // (worth * step)) * step
            for cost, worth in zip(self.costs, worths, strict=True)
            if worth
        )
        self.bound = max(self.bound, proven)

    def _solve_relaxation(self, demands: Counts) -> tuple[dict[_Column, float], Counts]:
        columns = [
            column
            for column in self.columns
            if all(many <= want for many, want in zip(column[1], demands, strict=True))
        ]
        model, variables, rows = self._model(columns, demands, integer=False)
        result = mathopt.solve(model, mathopt.SolverType.GLOP)
        if result.termination.reason != mathopt.TerminationReason.OPTIMAL:
            raise RuntimeError(f"relaxation ended with {result.termination.reason}")
        prices = tuple(max(0, round(dual * PRICE_SCALE)) for dual in result.dual_values(rows))
        values = result.variable_values(variables)
        return dict(zip(columns, values, strict=True)), prices

    def _fewest(
        self,
        columns: list[_Column],
        seed: int,
        *,
        proves: bool = False,
        solver: mathopt.SolverType = mathopt.SolverType.GSCIP,
    ) -> _Use:
        """Return the best choice of patterns; over all of them its bound `proves` the cost."""
        model, variables, _ = self._model(columns, self.demands, integer=True)
        seconds = max(0.01, min(self.stop.seconds_left(), 1e6))
        parameters = mathopt.SolveParameters(
            time_limit=datetime.timedelta(seconds=seconds),
            node_limit=NODES,
            random_seed=seed,
            absolute_gap_tolerance=0.999 * math.gcd(*self.costs),
        )
        watch = Watch(seconds, NODES, lambda: not self._goes_on("integer program"))
        result = watch.run(lambda: mathopt.solve(model, solver, params=parameters))
        if result is None or not result.has_primal_feasible_solution():
            return self.best
        if proves:
            step = math.gcd(*self.costs)
            least = math.ceil(result.best_objective_bound() / step - 1e-6) * step
            self.bound = max(self.bound, least)
        times = map(round, result.variable_values(variables))
        return {column: many for column, many in zip(columns, times, strict=True) if many}

    def _model(
        self, columns: Sequence[_Column], demands: Counts, *, integer: bool
    ) -> tuple[mathopt.Model, list[mathopt.Variable], list[mathopt.LinearConstraint]]:
        model = mathopt.Model()
        # Without upper limits SCIP, short of time, may answer with ten millions of a pattern.
        most = (
            max(-(-want // many) for want, many in zip(demands, counts, strict=True) if many)
            if integer
            else math.inf
            for _, counts in columns
        )
        variables = [model.add_variable(lb=0.0, ub=ub, is_integer=integer) for ub in most]
        rows = [model.add_linear_constraint(lb=float(want)) for want in demands]
        for variable, (bar, counts) in zip(variables, columns, strict=True):
            model.objective.set_linear_coefficient(variable, float(self.costs[bar]))
            for row, many in zip(rows, counts, strict=True):
                if many:
                    row.set_coefficient(variable, float(many))
        return model, variables, rows

    @property
    def _proven(self) -> bool:
        return self.cost_of(self.best) <= self.bound

    def _keep(self, used: _Use) -> None:
        used = self._without_extras(used)
        if self.cost_of(used) < self.cost_of(self.best):
            self.best = used

    def _without_extras(self, used: _Use) -> _Use:
        """Return the plan with every length made exactly as often as it is wanted."""
        left, exact = list(self.demands), dict[_Column, int]()
        for (bar, counts), times in used.items():
            for _ in range(times):
                taken = tuple(min(many, have) for many, have in zip(counts, left, strict=True))
                if any(taken):
                    exact[bar, taken] = exact.get((bar, taken), 0) + 1
                    left = [have - many for have, many in zip(left, taken, strict=True)]
        return exact

    def _goes_on(self, step: str) -> bool:
        self.why = self.why or self.stop.reason(Progress("bars", step, None, self.bound))
        return self.why is None


def _added(one: _Use, other: _Use) -> _Use:
    return {column: one.get(column, 0) + other.get(column, 0) for column in {**one, **other}}


class _Knapsack:
    """The pattern of each bar that is worth most, never more of a length than is wanted.

    States are sums of lengths, each with the most that it can be worth; a longer sum that is
    worth no more than a shorter one is dropped.
    """

    def __init__(
        self, sizes: Counts, demands: Counts, prices: Counts, rooms: Sequence[int]
    ) -> None:
        self.complete = True
        self._steps: list[tuple[int, NDArray[np.int64], NDArray[np.int64]]] = []
        sums, worths = np.zeros(1, np.int64), np.zeros(1, np.int64)
        room = max(rooms)
        for one, (size, demand, price) in enumerate(zip(sizes, demands, prices, strict=True)):
            most = min(demand, room // size)
            if price and most:
                sums, worths = self._taken(one, most, (size, price, room), (sums, worths))
        at = [int(np.searchsorted(sums, room, side="right")) - 1 for room in rooms]
        self.worths = [int(worths[state]) for state in at]
        self.counts = [self._traced(state, len(sizes)) for state in at]

    def _taken(
        self,
        one: int,
        most: int,
        item: tuple[int, int, int],
        states: tuple[NDArray[np.int64], NDArray[np.int64]],
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the states after up to `most` of one length were added to each."""
        size, price, room = item
        many = np.arange(most + 1, dtype=np.int64)
        sums = (states[0][:, None] + size * many).ravel()
        worths = (states[1][:, None] + price * many).ravel()
        order = np.lexsort((-worths, sums))
        order = order[sums[order] <= room]
        rising = np.maximum.accumulate(worths[order])
        order = order[np.concatenate(([True], rising[1:] > rising[:-1]))]
        if len(order) > MOST_SUMS:
            self.complete = False
            order = order[-MOST_SUMS:]
        self._steps.append((one, order // (most + 1), order % (most + 1)))
        return sums[order], worths[order]

    def _traced(self, state: int, lengths: int) -> Counts:
        counts = [0] * lengths
        if state < 0:
            return tuple(counts)
        for one, parents, many in reversed(self._steps):
            counts[one] = int(many[state])
            state = int(parents[state])
        return tuple(counts)
