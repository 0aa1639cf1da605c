"""The linear relaxation of the covering model, kept as patterns are added to it.

GLOP through OR-Tools' linear solver wrapper takes new columns without building its model anew
and starts from its last basis: for thousands of columns some milliseconds, where MathOpt 9.15
takes a quarter of a second to write the model and read the answer.
"""

from collections import Counter
from collections.abc import Iterable

from ortools.linear_solver import pywraplp

from cutopt.solver.master import PRICE_SCALE, Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Problem


class Relaxation:
    """Least cost over patterns in fractions; columns only ever come to it."""

    def __init__(self, problem: Problem) -> None:
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        endless = self._solver.infinity()
        self._of_kind = [
            self._solver.RowConstraint(float(kind.demand), endless, "") for kind in problem.kinds
        ]
        self._of_sheet = [
            self._solver.RowConstraint(
                0.0, endless if sheet.limit is None else float(sheet.limit), ""
            )
            for sheet in problem.sheets
        ]
        self._goal = self._solver.Objective()
        self._goal.SetMinimization()
        self._costs = problem.costs
        self._columns: list[pywraplp.Variable] = []

    def __len__(self) -> int:
        return len(self._columns)

    def add(self, patterns: Iterable[Pattern]) -> None:
        """Add patterns as columns."""
        for pattern in patterns:
            column = self._solver.NumVar(0.0, self._solver.infinity(), "")
            self._goal.SetCoefficient(column, float(self._costs[pattern.sheet]))
            self._of_sheet[pattern.sheet].SetCoefficient(column, 1.0)
            for kind, times in Counter(pattern.kinds).items():
                self._of_kind[kind].SetCoefficient(column, float(times))
            self._columns.append(column)

    def fix(self, column: int, least: int) -> None:
        """Use a column at least so often."""
        self._columns[column].SetLb(float(least))

    def solved(self) -> Prices:
        """Return prices and amounts of the relaxation.

        Raises
        ------
        RuntimeError
            When GLOP finds no optimum, which would be a fault of ours: every kind has a column.
        """
        status = self._solver.Solve()
        if status != pywraplp.Solver.OPTIMAL:
            raise RuntimeError(f"relaxation ended with status {status}")
        of_kind = (row.dual_value() for row in self._of_kind)
        saved = (max(0, round(-row.dual_value() * PRICE_SCALE)) for row in self._of_sheet)
        return Prices(
            tuple(max(0, round(price * PRICE_SCALE)) for price in of_kind),
            tuple(cost * PRICE_SCALE + more for cost, more in zip(self._costs, saved, strict=True)),
            self._goal.Value(),
            tuple(column.solution_value() for column in self._columns),
        )
