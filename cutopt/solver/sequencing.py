"""In which order to make cuts so that the fence is set as seldom as can be, and a proof.

Each cut may be made at one of a few settings, after the cut that makes its part. Cuts at one
setting in a row need one setting of the fence; a cut without settings needs none.

Exact by CP-SAT. A setting is *visited* once, or again where the order of cuts forces it. The
model knows the first `VISITS` visits of each setting one by one; further ones are a single
visit that is free of all order. That makes its optimum a bound for every order, and an order
that never needs such a free visit is an optimum.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import Any

VISITS = 3
#: Work that CP-SAT may do, in its own deterministic seconds: the same order on every machine.
USUAL_EFFORT = 2.0
#: Above this many different cuts the model is not made: the order is the greedy one, its bound
#: the number of settings that some cut needs and no other.
MOST_KNOTS = 1_000
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
    knots = _forest(tasks)
    if greedy.settings == least or len(knots) > MOST_KNOTS:
        return Ordered(greedy.order, greedy.chosen, least)
    return _Model(tasks, knots, greedy).solved(effort, least)


def _greedy(tasks: Sequence[Task]) -> Ordered:
    """Visit next the setting that leaves nothing behind, then the one that serves most cuts."""
    queue = _Queue(tasks)
    order = queue.take(queue.reached(None))
    chosen: list[int | None] = [None] * len(tasks)
    while len(order) < len(tasks):
        best: tuple[tuple[int, int, int], list[int], int] | None = None
        for setting in sorted(queue.ready):
            found = queue.reached(setting)
            needs = sum(tasks[task].settings == (setting,) for task in found)
            served = sum(bool(tasks[task].settings) for task in found)
            worth = (needs - queue.bound_to[setting], served, -setting)
            if best is None or worth > best[0]:
                best = worth, found, setting
        assert best is not None
        _, found, setting = best
        order += queue.take(found)
        for task in found:
            if tasks[task].settings:
                chosen[task] = setting
    return Ordered(tuple(order), tuple(chosen), 0)


class _Queue:
    """The cuts still to be made: which can be made at each setting, which need one and no other."""

    def __init__(self, tasks: Sequence[Task]) -> None:
        self.tasks = tasks
        self.following: dict[int | None, list[int]] = defaultdict(list)
        for number, task in enumerate(tasks):
            self.following[task.after].append(number)
        self.bound_to = Counter(task.settings[0] for task in tasks if len(task.settings) == 1)
        self.free: set[int] = set()
        self.ready: dict[int, set[int]] = {}
        for number in self.following[None]:
            self._add(number)

    def _add(self, number: int) -> None:
        if not self.tasks[number].settings:
            self.free.add(number)
        for setting in self.tasks[number].settings:
            self.ready.setdefault(setting, set()).add(number)

    def reached(self, setting: int | None) -> list[int]:
        """Return the cuts that can be made without another setting, in order."""
        open_now = [*self.free, *(self.ready[setting] if setting is not None else ())]
        heapify(open_now)
        found = []
        while open_now:
            number = heappop(open_now)
            found.append(number)
            for after in self.following[number]:
                settings = self.tasks[after].settings
                if not settings or setting in settings:
                    heappush(open_now, after)
        return found

    def take(self, found: list[int]) -> list[int]:
        """Make some cuts; those that follow become ready."""
        for number in found:
            self.free.discard(number)
            settings = self.tasks[number].settings
            for setting in settings:
                self.ready.get(setting, set()).discard(number)
                if not self.ready.get(setting, True):
                    del self.ready[setting]
            if len(settings) == 1:
                self.bound_to[settings[0]] -= 1
        made = set(found)
        for number in found:
            for after in self.following[number]:
                if after not in made:
                    self._add(after)
        return found


@dataclass(frozen=True)
class _Knot:
    """Cuts that are alike with all that follows them, and so are made at the same visits."""

    settings: tuple[int, ...]
    tasks: tuple[int, ...]
    before: int | None
    """Number of the knot before it."""


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
    looks = _looks(tasks, below)
    knots: list[_Knot] = []
    open_now: list[tuple[int | None, list[int]]] = [(None, below[None])]
    while open_now:
        before, numbers = open_now.pop()
        groups: dict[int, list[int]] = defaultdict(list)
        for number in numbers:
            groups[looks[number]].append(number)
        for alike in groups.values():
            knots.append(_Knot(tasks[alike[0]].settings, tuple(alike), before))
            after = [child for number in alike for child in below[number]]
            open_now.append((len(knots) - 1, after))
    return knots


def _looks(tasks: Sequence[Task], below: dict[int | None, list[int]]) -> dict[int, int]:
    """Return a number for each cut, the same for cuts that are alike with all below them."""
    seen: dict[tuple[tuple[int, ...], frozenset[int]], int] = {}
    looks: dict[int, int] = {}
    for number in reversed(range(len(tasks))):
        inner = frozenset(looks[child] for child in below[number])
        key = tuple(sorted(tasks[number].settings)), inner
        looks[number] = seen.setdefault(key, len(seen))
    return looks


Visit = tuple[int, int]


class _Model:
    """The model of a forest: which visit of which setting serves each knot, and in what order."""

    def __init__(self, tasks: Sequence[Task], knots: list[_Knot], greedy: Ordered) -> None:
        from ortools.sat.python import cp_model  # noqa: PLC0415 - half a second, needed here only

        self.tasks = tasks
        self.greedy = greedy
        self.model = cp_model.CpModel()
        self.solver = cp_model.CpSolver()
        self.has_solution = (cp_model.OPTIMAL, cp_model.FEASIBLE)
        self.knots = knots
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
        for number, knot in enumerate(self.knots):
            if knot.before is None:
                continue
            earlier = self.at[knot.before]
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

    def solved(self, effort: float, least: int) -> Ordered:
        """Return the better of the greedy order and the one found, with the bound."""
        parameters = self.solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = 0
        parameters.max_deterministic_time = effort
        status = self.solver.solve(self.model)
        bound = max(least, int(self.solver.best_objective_bound + 1e-6) // _SETTING)
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
