"""Leaving out of a plan the pieces that nobody asked for."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from cutopt.solver.problem import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Cutting,
    Join,
    Leaf,
    Nest,
    Point,
    Problem,
    Stand,
    Tree,
)


def made_by(cuttings: Iterable[Cutting]) -> Counter[int]:
    """Return how many pieces of each kind come out of a plan."""
    made: Counter[int] = Counter()
    for cutting in cuttings:
        for kind in cutting.tree.kinds:
            made[kind] += cutting.count
    return made


def without_extras(problem: Problem, cuttings: Sequence[Cutting]) -> list[Cutting] | None:
    """Return the plan with the pieces left out that nobody asked for, offcuts spared last.

    None in the rare case that guests of a piece that nobody asked for cannot be parted without it.
    """
    made = made_by(cuttings)
    extra = Counter({kind: made[kind] - wanted for kind, wanted in enumerate(problem.demands)})
    kept: list[Cutting] = []
    for cutting in sorted(cuttings, key=lambda cutting: problem.costs[cutting.sheet], reverse=True):
        left = cutting.count
        while left and any(extra[kind] > 0 for kind in cutting.tree.kinds):
            left -= 1
            if tree := _pruned(cutting.tree, extra, problem.kerf):
                kept.append(Cutting(cutting.sheet, tree, 1))
        if left:
            kept.append(Cutting(cutting.sheet, cutting.tree, left))
    return None if any(number > 0 for number in extra.values()) else _grouped(kept)


def within_demand(problem: Problem, tree: Tree, wanted: Sequence[int]) -> Tree | None:
    """Return a tree with no kind more often than it is wanted; None when it would be empty."""
    extra = Counter(tree.kinds)
    for kind in extra:
        extra[kind] -= wanted[kind]
    if not any(number > 0 for number in extra.values()):
        return tree
    less = _pruned(tree, extra, problem.kerf)
    return None if any(number > 0 for number in extra.values()) else less


def _grouped(cuttings: Iterable[Cutting]) -> list[Cutting]:
    counts: Counter[tuple[int, Tree]] = Counter()
    for cutting in cuttings:
        counts[cutting.sheet, cutting.tree] += cutting.count
    return [Cutting(sheet, tree, count) for (sheet, tree), count in counts.items()]


def _pruned(tree: Tree, extra: Counter[int], kerf: int) -> Tree | None:
    """Leave out what is extra, and count it off."""
    if isinstance(tree, Join):
        first, second = _pruned(tree.first, extra, kerf), _pruned(tree.second, extra, kerf)
        if first and second:
            return Join(first, second, tree.beside, tree.kerf)
        return first or second
    if isinstance(tree, Nest):
        placed = _rigid_pruned(tree, extra)
        return placed and placed[0]
    pruned = ((number, _pruned(inside, extra, kerf)) for number, inside in tree.fills)
    fills = tuple((number, inside) for number, inside in pruned if inside)
    if extra[tree.kind] > 0:
        guests = _joined([inside for _, inside in fills], tree.stand, kerf)
        if guests or not fills:
            extra[tree.kind] -= 1
            return guests
    return Leaf(tree.kind, tree.stand, fills)


def _joined(guests: Sequence[Tree], box: Stand, kerf: int) -> Tree | None:
    """Return the guests of a piece parted by straight cuts within its box; None if they cannot."""
    if len(guests) <= 1:
        return guests[0] if guests else None
    for size in range(1, len(guests)):
        for chosen in combinations(range(len(guests)), size):
            first = _joined([guests[at] for at in chosen], box, kerf)
            others = [guest for at, guest in enumerate(guests) if at not in chosen]
            second = _joined(others, box, kerf)
            if first is None or second is None:
                continue
            for beside, low, high in ((True, LEFT, RIGHT), (False, BOTTOM, TOP)):
                both = Join(first, second, beside, kerf)
                fits = both.width <= box.width and both.height <= box.height
                if fits and not (first.wants & high or second.wants & low):
                    return both
    return None


def _rigid_pruned(tree: Leaf | Nest, extra: Counter[int]) -> tuple[Leaf | Nest, Point] | None:
    """Prune a nest, and say where what is left lies in its box."""
    if isinstance(tree, Leaf):
        if extra[tree.kind] > 0:
            extra[tree.kind] -= 1
            return None
        return tree, (0, 0)
    first, second = _rigid_pruned(tree.first, extra), _rigid_pruned(tree.second, extra)
    if first is None or second is None:
        only, at = (first, tree.at_first) if first else (second, tree.at_second)
        return only and (only[0], _sum(only[1], at))
    assert isinstance(second[0], Leaf)
    at_first = _sum(first[1], tree.at_first)
    return replace(tree, first=first[0], at_first=at_first), (0, 0)


def _sum(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]
