"""Which patterns, how often: the covering model, its relaxation and its integer program.

    least cost          minimise   sum of cost * x (new sheets, when each costs 1)
    enough pieces       for each kind    sum of count * x >= demand
    no more than there  for each sheet   sum of x over its patterns <= limit

Gilmore and Gomory, Operations Research 9 (1961) and 13 (1965). The relaxation is solved by
GLOP, the integer program by SCIP, both through OR-Tools MathOpt.
"""

import atexit
import datetime
import math
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt import model_pb2
from ortools.math_opt.python import mathopt

from cutopt.solver.area import kerf_of_area, room_of, taken_by
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Problem, Proof, Sheet

#: Prices are whole multiples of one part in so many.
PRICE_SCALE = 10**7
#: SCIP may overrun its time limit by so many seconds before it is left alone, and by so many at
#: the end of the process.
GRACE = 2.0
#: Patterns that the preference for few cuts chooses from at the most.
MOST_CHOSEN = 400


@dataclass(frozen=True)
class Watch:
    """How long an integer program may run.

    Attributes
    ----------
    seconds : float
        By the clock.
    nodes : int
        Nodes of the search tree: the limit that does not depend on the speed of the machine.
    cancelled : callable
        Asked ten times a second.
    """

    seconds: float
    nodes: int
    cancelled: Callable[[], bool]

    def run(self, work: Callable[[], mathopt.SolveResult]) -> mathopt.SolveResult | None:
        """Return what the work returns, None when cancelled or late.

        SCIP cannot be interrupted through MathOpt 9.15 (its event handler refuses), so the work
        runs in a thread of its own, which is left alone until its own time limit when nobody
        waits for it any more. At the end of the process it is waited for again, a little: a
        thread that comes back from SCIP while Python is taken down brings the process down.
        """
        answer: list[mathopt.SolveResult] = []
        thread = threading.Thread(target=lambda: answer.append(work()), daemon=True)
        thread.start()
        latest = time.monotonic() + self.seconds + GRACE
        while thread.is_alive():
            thread.join(0.1)
            if thread.is_alive() and (self.cancelled() or time.monotonic() > latest):
                atexit.register(thread.join, GRACE)
                return None
        return answer[0] if answer else None


@dataclass(frozen=True)
class Prices:
    """What each piece is worth and each sheet costs, and what the relaxation takes.

    Attributes
    ----------
    of_kind : tuple of int
        Worth of a piece of each kind, in parts of `PRICE_SCALE`.
    of_sheet : tuple of int
        What a sheet costs, in the same parts; what one of few saves comes on top.
    value : float
        New sheets of the relaxation.
    amounts : tuple of float
        How often it uses each pattern.
    wanted : tuple of int
        How many of each kind are still wanted; empty for as many as ever.
    """

    of_kind: tuple[int, ...]
    of_sheet: tuple[int, ...]
    value: float
    amounts: tuple[float, ...]
    wanted: tuple[int, ...] = ()

    def worth(self, kinds: Sequence[int]) -> int:
        """Return what the pieces of a pattern are worth together."""
        return sum(self.of_kind[kind] for kind in kinds)

    def towards(self, centre: "Prices", weight: float) -> "Prices":
        """Return prices part of the way to others."""
        if not weight:
            return self

        def between(mine: Sequence[int], others: Sequence[int]) -> tuple[int, ...]:
            both = zip(mine, others, strict=True)
            return tuple(round(one + weight * (other - one)) for one, other in both)

        of_kind = between(self.of_kind, centre.of_kind)
        of_sheet = between(self.of_sheet, centre.of_sheet)
        return replace(self, of_kind=of_kind, of_sheet=of_sheet)


def bound_by(problem: Problem, prices: Prices, most_worth: Sequence[int]) -> int:
    """Return the least cost that the prices prove; most worth as for `proven_by`."""
    return proven_by(problem, prices.of_kind, most_worth)


def proven_by(problem: Problem, of_kind: Sequence[int], most_worth: Sequence[int]) -> int:
    """Return the least cost that prices of pieces prove, in whole numbers throughout.

    Parameters
    ----------
    most_worth : sequence of int
        For each sheet, the worth of its best pattern, or more.

    Notes
    -----
    Linear programming duality: scaled so that no sheet of which there is any number is worth
    more than it costs, the worth of all that is wanted, less what the others give beyond their
    cost, is a lower bound (Farley, Operations Research 38 (1990), for the scaling).
    """
    wanted = sum(map(int.__mul__, of_kind, problem.demands))
    sheets = list(zip(problem.sheets, problem.costs, most_worth, strict=True))
    scales = {Fraction(worth, cost) for _, cost, worth in sheets if cost and worth}
    endless = (Fraction(worth, cost) for sheet, cost, worth in sheets if sheet.limit is None)
    least = max(endless, default=Fraction(0))
    bounds = [
        math.ceil((wanted - _given(sheets, scale)) / scale) for scale in scales if scale >= least
    ]
    return max(bounds, default=0)


def _given(sheets: Iterable[tuple[Sheet, int, int]], scale: Fraction) -> Fraction:
    """Return what limited sheets can be worth beyond their cost at a scale."""
    return sum(
        (
            sheet.limit * max(Fraction(0), worth - cost * scale)
            for sheet, cost, worth in sheets
            if sheet.limit is not None
        ),
        Fraction(0),
    )


def usefulness(
    problem: Problem, prices: Prices, most_worth: Sequence[int], cost: int
) -> Callable[[Pattern], bool]:
    """Return what tells whether a plan of a given cost can use a pattern at all.

    At the prices all pieces together are worth a fixed sum, so every pattern that falls
    short of the best one by more than the whole plan may fall short is out.
    """
    sheets = list(zip(problem.sheets, problem.costs, most_worth, strict=True))
    endless = [Fraction(worth, paid) for sheet, paid, worth in sheets if sheet.limit is None]
    scale = max(endless or [Fraction(worth, paid) for _, paid, worth in sheets if paid])
    most = [max(scale * paid, Fraction(worth)) for _, paid, worth in sheets]
    wanted = sum(map(int.__mul__, prices.of_kind, problem.demands))
    spare = scale * cost - wanted + _given(sheets, scale)
    return lambda pattern: most[pattern.sheet] - prices.worth(pattern.kinds) <= spare


def prices_by_area(problem: Problem) -> Prices:
    """Return prices at which everything is worth its area, kerf added."""
    best, kerf = problem.to_buy[0], kerf_of_area(problem)
    scale, room = PRICE_SCALE * problem.costs[best], room_of(problem.sheets[best], kerf)
    of_kind = (taken_by(kind.stands[0], kerf) * scale // room for kind in problem.kinds)
    of_sheet = (
        cost * PRICE_SCALE or room_of(sheet, kerf) * scale // room
        for sheet, cost in zip(problem.sheets, problem.costs, strict=True)
    )
    return Prices(tuple(of_kind), tuple(of_sheet), 0.0, ())


def proof_by_area(problem: Problem) -> Proof:
    """Return the bound by area alone: all is worth twice its area, kerf added."""
    kerf = kerf_of_area(problem)
    of_kind = tuple(taken_by(kind.stands[0], kerf) for kind in problem.kinds)
    of_sheet = tuple(room_of(sheet, kerf) for sheet in problem.sheets)
    return Proof(of_kind, of_sheet, max(0, proven_by(problem, of_kind, of_sheet)))


class Columns:
    """The covering model over some patterns, in the form that MathOpt reads at once."""

    def __init__(self, problem: Problem, patterns: Sequence[Pattern]) -> None:
        self.problem = problem
        self.patterns = patterns
        counts = [Counter(pattern.kinds) for pattern in patterns]
        offset = len(problem.kinds)
        entries = [
            (kind, column, float(times))
            for column, count in enumerate(counts)
            for kind, times in count.items()
        ]
        entries += [
            (offset + pattern.sheet, column, 1.0) for column, pattern in enumerate(patterns)
        ]
        entries.sort()
        self._entries = entries
        self._costs = np.array([float(problem.costs[pattern.sheet]) for pattern in patterns])

    def most_used(self) -> list[float]:
        """Return how often each pattern can be of use: no kind comes more often than wanted.

        Without such limits SCIP, short of time, may answer with some ten millions of a pattern.
        """
        demands = self.problem.demands
        return [
            float(max(-(-demands[kind] // times) for kind, times in Counter(pattern.kinds).items()))
            for pattern in self.patterns
        ]

    def relaxed(self) -> Prices:
        """Return prices and amounts of the linear relaxation.

        Raises
        ------
        RuntimeError
            When GLOP finds no optimum, which would be a fault of ours: every kind has a column.
        """
        model = self._model(self._costs, integer=False)
        result = mathopt.solve(model, mathopt.SolverType.GLOP)
        if result.termination.reason != mathopt.TerminationReason.OPTIMAL:
            raise RuntimeError(f"relaxation ended with {result.termination.reason}")
        duals = result.dual_values(list(model.linear_constraints()))
        kinds = len(self.problem.kinds)
        return Prices(
            tuple(max(0, round(dual * PRICE_SCALE)) for dual in duals[:kinds]),
            tuple(
                cost * PRICE_SCALE + max(0, round(-dual * PRICE_SCALE))
                for cost, dual in zip(self.problem.costs, duals[kinds:], strict=True)
            ),
            result.objective_value(),
            tuple(result.variable_values(list(model.variables()))),
        )

    def fewest(self, watch: "Watch", seed: int) -> tuple[list[int] | None, int]:
        """Return how often each pattern is used for the fewest new sheets, and SCIP's bound."""
        model = self._model(self._costs, integer=True)
        return self._solved(model, watch, seed, gap=0.999)

    def preferred(self, cost: int, keep: Sequence[int], watch: Watch, seed: int) -> list[int]:
        """Return how often to use each pattern for exactly the demand: few cuts, large leftovers.

        The plan costs no more than `cost`.

        All patterns must be there, also those that others contain. The integer program chooses
        among those that cost least at the prices of its relaxation, and those in `keep`.
        """
        largest = self.problem.new.width * self.problem.new.height
        merit = np.array([pat.cuts - 0.5 * pat.leftover / largest for pat in self.patterns])
        few = self.nearest(merit, cost, keep)
        if not few:
            return []
        chosen = Columns(self.problem, [self.patterns[column] for column in few])
        model = chosen._model(merit[few], integer=True, exactly=True, cost=cost)
        found, _ = chosen._solved(model, watch, seed, gap=1e-6)
        amounts = [0] * len(self.patterns)
        for column, amount in zip(few, found or (), strict=False):
            amounts[column] = amount
        return amounts if found else []

    def nearest(self, merit: NDArray[np.float64], cost: int, keep: Sequence[int]) -> list[int]:
        """Return the patterns that cost least at the relaxation's prices, and those to keep."""
        model = self._model(merit, integer=False, exactly=True, cost=cost)
        result = mathopt.solve(model, mathopt.SolverType.GLOP)
        if result.termination.reason != mathopt.TerminationReason.OPTIMAL:
            return []
        reduced = np.array(result.reduced_costs(list(model.variables())))
        return sorted({*np.argsort(reduced, kind="stable")[:MOST_CHOSEN].tolist(), *keep})

    def _model(
        self,
        objective: NDArray[np.float64],
        *,
        integer: bool,
        exactly: bool = False,
        cost: int | None = None,
    ) -> mathopt.Model:
        proto = model_pb2.ModelProto()
        many = len(self.patterns)
        proto.variables.ids.extend(range(many))
        proto.variables.lower_bounds.extend([0.0] * many)
        proto.variables.upper_bounds.extend(self.most_used() if integer else [math.inf] * many)
        proto.variables.integers.extend([integer] * many)
        used = np.flatnonzero(objective)
        proto.objective.linear_coefficients.ids.extend(used.tolist())
        proto.objective.linear_coefficients.values.extend(objective[used].tolist())
        demands = list(map(float, self.problem.demands))
        limits = [
            math.inf if sheet.limit is None else float(sheet.limit) for sheet in self.problem.sheets
        ]
        entries = self._entries
        if cost is not None:
            row = len(demands) + len(limits)
            limits.append(float(cost))
            entries = [*entries, *((row, at, paid) for at, paid in enumerate(self._costs) if paid)]
        rows = proto.linear_constraints
        rows.ids.extend(range(len(demands) + len(limits)))
        rows.lower_bounds.extend(demands + [0.0] * len(limits))
        rows.upper_bounds.extend((demands if exactly else [math.inf] * len(demands)) + limits)
        row_ids, column_ids, values = zip(*entries, strict=True)
        proto.linear_constraint_matrix.row_ids.extend(row_ids)
        proto.linear_constraint_matrix.column_ids.extend(column_ids)
        proto.linear_constraint_matrix.coefficients.extend(values)
        return mathopt.Model.from_model_proto(proto)

    def _solved(
        self, model: mathopt.Model, watch: "Watch", seed: int, gap: float
    ) -> tuple[list[int] | None, int]:
        parameters = mathopt.SolveParameters(
            time_limit=datetime.timedelta(seconds=max(0.01, min(watch.seconds, 1e6))),
            node_limit=watch.nodes,
            random_seed=seed,
            absolute_gap_tolerance=gap,
        )
        result = watch.run(
            lambda: mathopt.solve(model, mathopt.SolverType.GSCIP, params=parameters)
        )
        if result is None:
            return None, 0
        dual = result.termination.objective_bounds.dual_bound
        bound = math.ceil(dual - 1e-6) if math.isfinite(dual) else 0
        if not result.has_primal_feasible_solution():
            return None, bound
        values = result.variable_values(list(model.variables()))
        return [round(value) for value in values], bound
