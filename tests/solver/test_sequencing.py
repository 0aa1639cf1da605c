"""The order of cuts with the fewest settings of the fence, against trying every order."""

import random
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver.sequencing import Ordered, Task, changes, fewest_settings


def brute_force(tasks: list[Task]) -> int:
    """Return the fewest settings, by trying every order and every setting."""

    @cache
    def least(done: frozenset[int], now: int | None) -> int:
        if len(done) == len(tasks):
            return 0
        found = []
        for number, task in enumerate(tasks):
            if number in done or (task.after is not None and task.after not in done):
                continue
            after = done | {number}
            if not task.settings:
                found.append(least(after, now))
            found += [(one != now) + least(after, one) for one in task.settings]
        return min(found)

    return least(frozenset(), None)


def is_sound(tasks: list[Task], ordered: Ordered) -> bool:
    """Tell whether every cut is made once, after the one before it, at one of its settings."""
    place = {task: at for at, task in enumerate(ordered.order)}
    return sorted(ordered.order) == list(range(len(tasks))) and all(
        (task.after is None or place[task.after] < place[number])
        and (
            ordered.chosen[number] in task.settings
            if task.settings
            else ordered.chosen[number] is None
        )
        for number, task in enumerate(tasks)
    )


@st.composite
def forests(draw: st.DrawFn) -> list[Task]:
    count = draw(st.integers(1, 8))
    kinds = draw(st.integers(1, 4))
    tasks = []
    for number in range(count):
        chosen = draw(st.lists(st.integers(1, kinds), max_size=2, unique=True))
        before = draw(st.one_of(st.none(), st.integers(0, number - 1))) if number else None
        tasks.append(Task(tuple(chosen), before))
    return tasks


@settings(max_examples=150)
@given(forests())
def test_as_few_settings_as_by_trying_every_order(tasks: list[Task]) -> None:
    ordered = fewest_settings(tasks)
    assert is_sound(tasks, ordered)
    assert ordered.settings == ordered.bound == brute_force(tasks)


def test_a_setting_comes_back_where_the_parts_ask_for_it() -> None:
    tasks = [Task((10,)), Task((20,), 0), Task((20,)), Task((10,), 2)]
    ordered = fewest_settings(tasks)
    assert (ordered.settings, ordered.bound) == (3, 3)


def test_either_edge_against_the_fence_saves_a_setting() -> None:
    assert fewest_settings([Task((10,)), Task((20, 10))]).settings == 1


def test_what_needs_no_fence_does_not_move_it() -> None:
    tasks = [Task((10,)), Task((), 0), Task((10,), 1)]
    assert fewest_settings(tasks).settings == 1
    assert changes([10, None, 10]) == 1


def test_more_visits_than_the_model_knows_one_by_one() -> None:
    """A chain that visits one setting five times: the bound stays below, the order is sound."""
    tasks = [Task((1 + number % 2,), number - 1 if number else None) for number in range(10)]
    ordered = fewest_settings(tasks)
    assert is_sound(tasks, ordered)
    assert ordered.bound <= brute_force(tasks) <= ordered.settings


def test_many_cuts_end_within_the_effort() -> None:
    draw = random.Random(7)
    tasks = [
        Task(
            tuple(draw.sample(range(1, 60), 2)),
            number - 1 if number % 3 else None,
        )
        for number in range(150)
    ]
    ordered = fewest_settings(tasks, effort=0.5)
    assert is_sound(tasks, ordered)
    assert 1 <= ordered.bound <= ordered.settings


def test_a_very_long_chain_is_no_trouble() -> None:
    tasks = [Task((1 + number % 3,), number - 1 if number else None) for number in range(5_000)]
    ordered = fewest_settings(tasks)
    assert is_sound(tasks, ordered)
    assert (ordered.settings, ordered.bound) == (5_000, 3)
