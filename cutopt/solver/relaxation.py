"""The linear relaxation of the covering model, kept as patterns are added to it.

GLOP through OR-Tools' linear solver wrapper takes new columns without building its model anew
and goes on from its last basis: for thousands of columns some milliseconds, where MathOpt 9.15
takes a quarter of a second to write the model and read the answer.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from ortools.linear_solver import pywraplp

from cutopt.solver.master import PRICE_SCALE, Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Problem
from cutopt.solver.stand_in import Places

#: What is simplified first cannot go on from the last basis: that takes two to four times as long.
FROM_LAST = "use_preprocessing: false use_dual_simplex: false"
#: With other columns fixed the last basis still prices every column right.
FROM_FIXED = "use_preprocessing: false use_dual_simplex: true"
#: Once in a while its last basis leads the solver astray, seldom the way it goes from scratch.
AGAIN = (
    FROM_LAST,
    "use_preprocessing: true use_dual_simplex: false",
    "use_preprocessing: true use_dual_simplex: true",
)


class Relaxation:
    """Least cost over patterns in fractions; columns only ever come to it.

    Attributes
    ----------
    wanted : tuple of int
        How many of each kind are still wanted beside what the fixed columns give.

    Parameters
    ----------
    places : sequence of tuple
        Kinds whose places may be given to smaller ones (`stand_in`); none while columns are fixed.
    """

    def __init__(self, problem: Problem, places: Sequence[Places] = ()) -> None:
        self._problem = problem
        self._places = places
        self._counts: list[Counter[int]] = []
        self._sheets: list[int] = []
        self.wanted = problem.demands
        self._fixed: dict[int, int] = {}
        # Columns with several of a kind, the most of them, and kinds that count for less now.
        self._several: dict[int, list[int]] = defaultdict(list)
        self._most: Counter[int] = Counter()
        self._counts_less: set[int] = set()
        self._begin()

    def __len__(self) -> int:
        return len(self._columns)

    def _begin(self) -> None:
        """Build the model, with the columns there are."""
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._go(FROM_LAST)
        endless = self._solver.infinity()
        self._of_kind = [
            self._solver.RowConstraint(float(demand), endless, "")
            for demand in self._problem.demands
        ]
        self._of_sheet = [
            self._solver.RowConstraint(
                0.0, endless if sheet.limit is None else float(sheet.limit), ""
            )
            for sheet in self._problem.sheets
        ]
        self._goal = self._solver.Objective()
        self._goal.SetMinimization()
        self._given_up = [
            self._solver.NumVar(0.0, self._solver.infinity(), "") for _ in self._places
        ]
        for column, (larger, smaller) in zip(self._given_up, self._places, strict=True):
            self._of_kind[larger].SetCoefficient(column, -1.0)
            self._of_kind[smaller].SetCoefficient(column, 1.0)
        self._columns: list[pywraplp.Variable] = []
        for sheet, counts in zip(self._sheets, self._counts, strict=True):
            self._append(sheet, counts)

    def add(self, patterns: Iterable[Pattern]) -> None:
        """Add patterns as columns."""
        for pattern in patterns:
            counts = Counter(pattern.kinds)
            for kind, times in counts.items():
                if times > 1:
                    self._several[kind].append(len(self._columns))
                    self._most[kind] = max(self._most[kind], times)
            self._append(pattern.sheet, counts)
            self._sheets.append(pattern.sheet)
            self._counts.append(counts)
            self._go(FROM_LAST)

    def _append(self, sheet: int, counts: Counter[int]) -> None:
        column = self._solver.NumVar(0.0, self._solver.infinity(), "")
        self._goal.SetCoefficient(column, float(self._problem.costs[sheet]))
        self._of_sheet[sheet].SetCoefficient(column, 1.0)
        for kind, times in counts.items():
            counted = min(times, self.wanted[kind]) if kind in self._counts_less else times
            self._of_kind[kind].SetCoefficient(column, float(counted))
        self._columns.append(column)

    def fix(self, fixed: Mapping[int, int]) -> None:
        """Use these columns at least so often, and no others.

        Beyond that a column counts for no more of a kind than are then still wanted.
        """
        for column in self._fixed.keys() | fixed:
            self._columns[column].SetLb(float(fixed.get(column, 0)))
        self._fixed = dict(fixed)
        made: Counter[int] = Counter()
        for column, amount in fixed.items():
            for kind, times in self._counts[column].items():
                made[kind] += times * amount
        self.wanted = tuple(
            max(0, demand - made[kind]) for kind, demand in enumerate(self._problem.demands)
        )
        for kind, most in self._most.items():
            if 0 < self.wanted[kind] < most:
                self._count_at_most(kind, self.wanted[kind])
                self._counts_less.add(kind)
            elif kind in self._counts_less:
                self._count_at_most(kind, most)
                self._counts_less.remove(kind)
        self._go(FROM_FIXED)

    def _count_at_most(self, kind: int, most: int) -> None:
        row, given = self._of_kind[kind], 0
        for column in self._several[kind]:
            times = self._counts[column][kind]
            row.SetCoefficient(self._columns[column], float(min(times, most)))
            given += (times - min(times, most)) * self._fixed.get(column, 0)
        row.SetLb(float(self._problem.demands[kind] - given))

    def _begin_again(self, parameters: str) -> None:
        """Build the model anew, with the same columns fixed."""
        fixed = self._fixed
        self.fix({})
        self._begin()
        self.fix(fixed)
        self._go(parameters)

    def _go(self, parameters: str) -> None:
        self._solver.SetSolverSpecificParametersAsString(parameters)

    def given_up(self) -> dict[Places, float]:
        """Return how many places of larger kinds the solution gives to smaller ones."""
        amounts = (column.solution_value() for column in self._given_up)
        return dict(zip(self._places, amounts, strict=True))

    def solved(self) -> Prices:
        """Return prices and amounts of the relaxation.

        Raises
        ------
        RuntimeError
            When GLOP finds no optimum from scratch either, which would be a fault of ours: every
            kind has a column.
        """
        status = self._solver.Solve()
        for parameters in AGAIN:
            if status != pywraplp.Solver.OPTIMAL:
                self._begin_again(parameters)
                status = self._solver.Solve()
        if status != pywraplp.Solver.OPTIMAL:
            raise RuntimeError(f"relaxation ended with status {status}")
        of_kind = (row.dual_value() for row in self._of_kind)
        saved = (max(0, round(-row.dual_value() * PRICE_SCALE)) for row in self._of_sheet)
        return Prices(
            tuple(max(0, round(price * PRICE_SCALE)) for price in of_kind),
            tuple(
                cost * PRICE_SCALE + more
                for cost, more in zip(self._problem.costs, saved, strict=True)
            ),
            self._goal.Value(),
            tuple(column.solution_value() for column in self._columns),
            self.wanted,
        )
