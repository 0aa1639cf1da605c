"""Among plans that cost as little: what is preferred, one wish after the other.

Each wish is followed as far as the ones before it allow, among the patterns that serve one of them
best. An integer program that ends early, or a pattern that was not chosen from, may leave something
to be wished for: a preference, not a proof.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python import mathopt

from cutopt.solver.master import Columns, Watch
from cutopt.solver.patterns import Pattern, cuttings_of
from cutopt.solver.problem import Cutting, Join, Problem, Tree

#: Nodes and seconds for one wish: the nodes end nearly all of them, so the same plan comes again.
NODES_A_WISH = 60
SECONDS_A_WISH = 20.0

Wish = Literal[
    "fewer cuts", "larger leftovers", "fewer settings", "fewer risky cuts", "less waiting"
]


@dataclass(frozen=True)
class Wishes:
    """What is preferred, the first wish first.

    Attributes
    ----------
    narrow : int
        A cut that leaves a narrower strip on either side is risky.
    places : tuple of int
        For each kind, when its pieces are set, on the average: what comes out of one sheet
        for very different times waits on the shelf.
    """

    order: tuple[Wish, ...] = ("fewer cuts", "larger leftovers")
    narrow: int = 0
    places: tuple[int, ...] = ()

    @property
    def usual(self) -> bool:
        """Tell whether nothing is wished for but what always is."""
        return self.order == Wishes().order


@dataclass
class Chosen:
    """The patterns to choose from, with the tree of each."""

    problem: Problem
    wishes: Wishes
    patterns: list[Pattern]
    trees: list[Tree]

    @classmethod
    def of(
        cls, problem: Problem, patterns: Sequence[Pattern], wishes: Wishes, plan: Sequence[Cutting]
    ) -> "Chosen":
        """Choose the patterns that serve a wish best, and those of the plan."""
        keep = _columns_of(plan, patterns)
        columns, few = Columns(problem, patterns), set(keep)
        for merit in (_cuts, _leftovers, _waiting(wishes.places)):
            worth = np.array([merit(one) for one in patterns], float)
            few.update(columns.nearest(worth, problem.cost_of(plan), keep))
        chosen = [patterns[at] for at in sorted(few)]
        return cls(problem, wishes, chosen, [one.make_tree() for one in chosen])

    def merit(self, wish: Wish) -> NDArray[np.float64]:
        """Return what is less of each pattern the better; none for settings, which are shared."""
        if wish == "fewer risky cuts":
            return np.array([self._risky(number) for number in range(len(self.trees))], float)
        merits = {
            "fewer cuts": _cuts,
            "larger leftovers": _leftovers,
            "less waiting": _waiting(self.wishes.places),
        }
        return np.array([merits[wish](one) for one in self.patterns], float)

    def settings(self, number: int) -> set[int]:
        """Return the sizes that the fence is set to for a pattern."""
        return {size for size, _ in self._cuts_of(number)}

    def _risky(self, number: int) -> int:
        return sum(min(pair) < self.wishes.narrow for pair in self._cuts_of(number))

    def _cuts_of(self, number: int) -> Iterator[tuple[int, int]]:
        sheet = self.problem.sheets[self.patterns[number].sheet]
        return straight_cuts(self.trees[number], sheet.width, sheet.height, self.problem.kerf)


def straight_cuts(tree: Tree, width: int, height: int, kerf: int) -> Iterator[tuple[int, int]]:
    """Yield how much each straight cut leaves on the side it is measured on, and beyond."""
    if width > tree.width:
        yield tree.width, width - tree.width - kerf
    if height > tree.height:
        yield tree.height, height - tree.height - kerf
    if isinstance(tree, Join):
        first, second = tree.first, tree.second
        if tree.beside:
            yield first.width, second.width
            yield from straight_cuts(first, first.width, tree.height, kerf)
            yield from straight_cuts(second, second.width, tree.height, kerf)
        else:
            yield first.height, second.height
            yield from straight_cuts(first, tree.width, first.height, kerf)
            yield from straight_cuts(second, tree.width, second.height, kerf)


def _cuts(pattern: Pattern) -> float:
    return pattern.cuts


def _leftovers(pattern: Pattern) -> float:
    return -float(pattern.leftover)


def _waiting(places: Sequence[int]) -> Callable[[Pattern], float]:
    def waits(pattern: Pattern) -> float:
        times = [places[kind] for kind in pattern.kinds] if places else [0]
        return max(times) - min(times)

    return waits


def usual_choice(
    problem: Problem, patterns: Sequence[Pattern], plan: Sequence[Cutting], watch: Watch, seed: int
) -> list[Cutting]:
    """Return a plan that costs no more, of few cuts and then large leftovers; empty for none."""
    keep = _columns_of(plan, patterns)
    amounts = Columns(problem, patterns).preferred(problem.cost_of(plan), keep, watch, seed)
    return cuttings_of(patterns, amounts) if amounts else []


def _columns_of(plan: Sequence[Cutting], patterns: Sequence[Pattern]) -> list[int]:
    used = {(cutting.sheet, cutting.tree.kinds) for cutting in plan}
    return [at for at, one in enumerate(patterns) if (one.sheet, one.kinds) in used]


def follow(
    problem: Problem,
    patterns: Sequence[Pattern],
    wishes: Wishes,
    plan: Sequence[Cutting],
    how: tuple[Watch, int],
) -> list[Cutting]:
    """Return a plan that costs no more and follows the wishes in turn; how: a watch, a seed."""
    watch, seed = how
    chosen = Chosen.of(problem, patterns, wishes, plan)
    watch = replace(watch, seconds=min(SECONDS_A_WISH, watch.seconds), nodes=NODES_A_WISH)
    model, amounts = mathopt.Model(), Counter[tuple[int, tuple[int, ...]]]()
    for one in plan:
        amounts[one.sheet, one.tree.kinds] += one.count
    uses = [model.add_integer_variable(lb=0.0) for _ in chosen.patterns]
    values = [float(amounts[one.sheet, one.kinds]) for one in chosen.patterns]
    _add_rules(model, uses, chosen, plan)
    for wish in wishes.order:
        goal = _goal(model, uses, chosen, wish)
        model.minimize(goal)
        parameters = mathopt.SolveParameters(
            time_limit=timedelta(seconds=max(0.01, watch.seconds)),
            node_limit=watch.nodes,
            random_seed=seed,
        )
        hint = mathopt.SolutionHint(variable_values=dict(zip(uses, values, strict=True)))
        how = mathopt.ModelSolveParameters(solution_hints=[hint])
        result = watch.run(
            lambda parameters=parameters, how=how: mathopt.solve(  # type: ignore[misc]
                model, mathopt.SolverType.GSCIP, params=parameters, model_params=how
            )
        )
        if result is None or not result.has_primal_feasible_solution():
            break
        values = [round(value) for value in result.variable_values(uses)]
        model.add_linear_constraint(goal <= result.objective_value() + 1e-6)
    return [
        Cutting(pattern.sheet, tree, round(value))
        for pattern, tree, value in zip(chosen.patterns, chosen.trees, values, strict=True)
        if value
    ]


def _add_rules(
    model: mathopt.Model, uses: list[mathopt.Variable], chosen: Chosen, plan: Sequence[Cutting]
) -> None:
    """Ask for exactly what is wanted, from no more than there is, at no higher cost."""
    problem = chosen.problem
    counts = [Counter(one.kinds) for one in chosen.patterns]
    for kind, demand in enumerate(problem.demands):
        made = [count[kind] * use for count, use in zip(counts, uses, strict=True) if count[kind]]
        model.add_linear_constraint(mathopt.fast_sum(made) == demand)
    of_sheet: dict[int, list[mathopt.Variable]] = {}
    for one, use in zip(chosen.patterns, uses, strict=True):
        of_sheet.setdefault(one.sheet, []).append(use)
    for sheet, those in of_sheet.items():
        limit = problem.sheets[sheet].limit
        if limit is not None:
            model.add_linear_constraint(mathopt.fast_sum(those) <= limit)
    paid = [problem.costs[one.sheet] * use for one, use in zip(chosen.patterns, uses, strict=True)]
    model.add_linear_constraint(mathopt.fast_sum(paid) <= problem.cost_of(plan))


def _goal(
    model: mathopt.Model, uses: list[mathopt.Variable], chosen: Chosen, wish: Wish
) -> mathopt.LinearBase:
    if wish != "fewer settings":
        merit = chosen.merit(wish)
        scaled = (
            merit / max(1.0, float(np.abs(merit).max())) if wish == "larger leftovers" else merit
        )
        return mathopt.fast_sum(
            [float(one) * use for one, use in zip(scaled, uses, strict=True) if one]
        )
    on: dict[int, mathopt.Variable] = {}
    for number, use in enumerate(uses):
        count = Counter(chosen.patterns[number].kinds)
        most = max(chosen.problem.demands[kind] // times for kind, times in count.items())
        for size in sorted(chosen.settings(number)):
            if size not in on:
                on[size] = model.add_binary_variable()
            model.add_linear_constraint(use <= most * on[size])
    return mathopt.fast_sum(list(on.values()))
