"""In which order to make cuts so that the fence is set as seldom as can be, and a proof.

Each cut may be made at one of a few settings, after the cut that makes its part. Cuts at one
setting in a row need one setting of the fence; a cut without settings needs none.

Exact by CP-SAT. A setting is *visited* once, or again where the order of cuts forces it. The
model knows the first `VISITS` visits of each setting one by one; further ones are a single
visit that is free of all order. That makes its optimum a bound for every order, and an order
that never needs such a free visit is an optimum.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

VISITS = 3
#: Work that CP-SAT may do, in its own deterministic seconds: the same order on every machine.
USUAL_EFFORT = 4.0
#: One setting weighs as much as this many free visits, of which there are fewer.
_SETTING = 10_000


@dataclass(frozen=True, slots=True)
class Task:
    """A cut: the settings at which it may be made, and the number of the cut before it."""

    settings: tuple[int, ...]
    after: int | None = None


@dataclass(frozen=True, slots=True)
class Ordered:
    """Cuts in order with the setting of each (None without), and what no order goes below."""

    order: tuple[int, ...]
    chosen: tuple[int | None, ...]
    bound: int

    @property
    def settings(self) -> int:
        """Return how often the fence is set."""
        return changes(self.chosen[task] for task in self.order)


def changes(settings: Iterable[int | None]) -> int:
    """Return how often the fence is set for cuts one after another."""
    count, now = 0, None
    for setting in settings:
        if setting is not None and setting != now:
            count, now = count + 1, setting
    return count


def fewest_settings(tasks: Sequence[Task], effort: float = USUAL_EFFORT) -> Ordered:
    """Return an order with the fewest settings of the fence that could be found, and a bound.

    Parameters
    ----------
    tasks : sequence of Task
        The cuts; each names only an earlier one as the cut before it.
    effort : float
        How long CP-SAT may search, in its deterministic seconds.
    """
    greedy = _greedy(tasks)
    least = len({task.settings for task in tasks if len(task.settings) == 1})
    if greedy.settings == least:
        return Ordered(greedy.order, greedy.chosen, least)
    return _Model(tasks, greedy).solved(effort)


def _greedy(tasks: Sequence[Task]) -> Ordered:
    """Visit next the setting that leaves nothing behind, then the one that serves most cuts."""
    waiting = set(range(len(tasks)))
    order: list[int] = []
    chosen: list[int | None] = [None] * len(tasks)
    served = _reached(tasks, waiting, None)
    while True:
        order += served
        waiting.difference_update(served)
        if not waiting:
            return Ordered(tuple(order), tuple(chosen), 0)
        best: tuple[tuple[int, int, int], list[int], int] | None = None
        for setting in sorted(_open_settings(tasks, waiting)):
            found = _reached(tasks, waiting, setting)
            bound_to = sum(tasks[task].settings == (setting,) for task in waiting - set(found))
            worth = (-bound_to, sum(bool(tasks[task].settings) for task in found), -setting)
            if best is None or worth > best[0]:
                best = worth, found, setting
        assert best is not None
        _, served, setting = best
        for task in served:
            if tasks[task].settings:
                chosen[task] = setting


def _open_settings(tasks: Sequence[Task], waiting: set[int]) -> set[int]:
    ready = (task for task in waiting if tasks[task].after not in waiting)
    return {setting for task in ready for setting in tasks[task].settings}


def _reached(tasks: Sequence[Task], waiting: set[int], setting: int | None) -> list[int]:
    """Return the cuts that can be made without another setting, in order."""
    done: set[int] = set()
    found = []
    for task in sorted(waiting):
        before = tasks[task].after
        is_ready = before not in waiting or before in done
        if is_ready and (not tasks[task].settings or setting in tasks[task].settings):
            done.add(task)
            found.append(task)
    return found


@dataclass
class _Knot:
    """Cuts that are alike with all that follows them, and so are made at the same visits."""

    settings: tuple[int, ...]
    tasks: list[int] = field(default_factory=list)
    below: list["_Knot"] = field(default_factory=list)
    before: "_Knot | None" = None

    def all(self) -> Iterator["_Knot"]:
        """Yield this knot and every one below."""
        yield self
        for knot in self.below:
            yield from knot.all()


def _forest(tasks: Sequence[Task]) -> list[_Knot]:
    """Return the cuts that need the fence as a forest in which no two siblings are alike.

    Whatever is done for a cut can be done at the same visit for one that is alike, so joining
    them loses no order with fewer settings.
    """
    below: dict[int | None, list[int]] = defaultdict(list)
    anchor: dict[int | None, int | None] = {None: None}
    for number, task in enumerate(tasks):
        above = anchor[task.after]
        anchor[number] = number if task.settings else above
        if task.settings:
            below[above].append(number)
    looks: dict[int, tuple[Any, ...]] = {}
    for number in reversed(range(len(tasks))):
        inner = frozenset(looks[child] for child in below[number])
        looks[number] = (tuple(sorted(tasks[number].settings)), inner)

    def joined(alike: list[list[int]], before: _Knot | None) -> list[_Knot]:
        groups: dict[tuple[Any, ...], list[int]] = defaultdict(list)
        for numbers in alike:
            for number in numbers:
                groups[looks[number]].append(number)
        knots = []
        for numbers in groups.values():
            knot = _Knot(tasks[numbers[0]].settings, numbers, before=before)
            knot.below = joined([below[number] for number in numbers], knot)
            knots.append(knot)
        return knots

    return joined([below[None]], None)


Visit = tuple[int, int]


class _Model:
    """The model of a forest: which visit of which setting serves each knot, and in what order."""

    def __init__(self, tasks: Sequence[Task], greedy: Ordered) -> None:
        from ortools.sat.python import cp_model  # noqa: PLC0415 - half a second, needed here only

        self.tasks = tasks
        self.greedy = greedy
        self.model = cp_model.CpModel()
        self.solver = cp_model.CpSolver()
        self.has_solution = (cp_model.OPTIMAL, cp_model.FEASIBLE)
        self.knots = [knot for root in _forest(tasks) for knot in root.all()]
        self.place: dict[Visit, Any] = {}
        self.used: dict[Visit, Any] = {}
        self.free: set[Visit] = set()
        self._add_visits()
        self.at = [self._served(knot) for knot in self.knots]
        self._add_order()
        self.model.minimize(
            _SETTING * sum(self.used.values()) + sum(self.used[visit] for visit in self.free)
        )
        self._hint()

    def _add_visits(self) -> None:
        wanted: dict[int, int] = defaultdict(int)
        for knot in self.knots:
            for setting in knot.settings:
                wanted[setting] += 1
        last = sum(min(count, VISITS) for count in wanted.values())
        for setting, count in wanted.items():
            for number in range(min(count, VISITS + 1)):
                visit = setting, number
                self.used[visit] = self.model.new_bool_var("")
                if number:
                    before = setting, number - 1
                    self.model.add_implication(self.used[visit], self.used[before])
                if number == VISITS:
                    self.free.add(visit)
                    continue
                self.place[visit] = self.model.new_int_var(0, last, "")
                if number:
                    self.model.add(self.place[visit] > self.place[setting, number - 1])

    def _served(self, knot: _Knot) -> dict[Visit, Any]:
        at = {
            visit: self.model.new_bool_var("")
            for setting in knot.settings
            for visit in ((setting, number) for number in range(VISITS + 1))
            if visit in self.used
        }
        self.model.add_exactly_one(at.values())
        for visit, here in at.items():
            self.model.add_implication(here, self.used[visit])
        return at

    def _add_order(self) -> None:
        number_of = {id(knot): number for number, knot in enumerate(self.knots)}
        for number, knot in enumerate(self.knots):
            if knot.before is None:
                continue
            earlier = self.at[number_of[id(knot.before)]]
            for first, is_first in earlier.items():
                for second, is_second in self.at[number].items():
                    if first == second or first in self.free or second in self.free:
                        continue
                    self.model.add(self.place[first] < self.place[second]).only_enforce_if(
                        is_first, is_second
                    )

    def _hint(self) -> None:
        """Tell the solver of the greedy order, where its visits are few enough."""
        runs: list[int] = []
        visit_of: dict[int, Visit] = {}
        for task in self.greedy.order:
            setting = self.greedy.chosen[task]
            if setting is None:
                continue
            if not runs or runs[-1] != setting:
                runs.append(setting)
            visit_of[task] = setting, runs.count(setting) - 1
        for knot, at in zip(self.knots, self.at, strict=True):
            for visit, here in at.items():
                self.model.add_hint(here, visit == visit_of[knot.tasks[0]])

    def solved(self, effort: float) -> Ordered:
        """Return the better of the greedy order and the one found, with the bound."""
        parameters = self.solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = 0
        parameters.max_deterministic_time = effort
        status = self.solver.solve(self.model)
        bound = max(1, int(self.solver.best_objective_bound + 1e-6) // _SETTING)
        best = self.greedy
        if status in self.has_solution and not any(map(self._is_used, self.free)):
            found = self._read()
            best = found if found.settings < best.settings else best
        return Ordered(best.order, best.chosen, min(bound, best.settings))

    def _is_used(self, visit: Visit) -> bool:
        return bool(self.solver.value(self.used[visit]))

    def _read(self) -> Ordered:
        chosen: list[int | None] = [None] * len(self.tasks)
        when: dict[int, tuple[int, int]] = {}
        for knot, at in zip(self.knots, self.at, strict=True):
            visit = next(visit for visit, here in at.items() if self.solver.value(here))
            for task in knot.tasks:
                chosen[task] = visit[0]
                when[task] = self.solver.value(self.place[visit]), visit[0]
        for number, one in enumerate(self.tasks):
            if number not in when:  # made as soon as its part is there
                when[number] = when[one.after] if one.after is not None else (-1, 0)
        order = sorted(range(len(self.tasks)), key=lambda number: (when[number], number))
        return Ordered(tuple(order), tuple(chosen), 0)
