"""From a plan over a box of starts to one start at which the plan can be cut."""

from collections.abc import Iterator, Sequence
from itertools import product

from cutopt.setting_out.forms import Box, Form, Sum
from cutopt.setting_out.span import Part
from cutopt.solver import Join, Leaf, Sheet, Tree

#: A tree with more ways than this to be too long is left out: it would only guide the choice.
MOST_SUMS = 200


def conditions(tree: Tree, sheet: Sheet, parts: Sequence[Part]) -> list[Sum]:
    """Return what must hold so that a tree can be cut, its pieces given in the order of leaves."""
    waiting = iter(parts)
    inner: list[Sum] = []
    widths, heights = _extents(tree, waiting, inner)
    found = [Sum.of(forms, base - sheet.width) for forms, base in widths]
    found += [Sum.of(forms, base - sheet.height) for forms, base in heights]
    return [item for item in dict.fromkeys((*inner, *found)) if item.slopes]


_Extent = tuple[tuple[Form, ...], int]


def _extents(
    tree: Tree, waiting: Iterator[Part], inner: list[Sum]
) -> tuple[list[_Extent], list[_Extent]]:
    """Return all sums of which the largest is the width, and the height, of a tree."""
    if isinstance(tree, Leaf):
        return _of_leaf(tree, next(waiting), waiting, inner)
    if not isinstance(tree, Join):
        for _ in tree.kinds:  # slanted pieces never change within a box
            next(waiting)
        return [((), tree.width)], [((), tree.height)]
    one, other = _extents(tree.first, waiting, inner), _extents(tree.second, waiting, inner)
    axis = 0 if tree.beside else 1
    along = [
        ((*a, *b), base + tree.kerf + more)
        for (a, base), (b, more) in product(one[axis], other[axis])
    ][:MOST_SUMS]
    across = [*one[1 - axis], *other[1 - axis]]
    return (along, across) if tree.beside else (across, along)


def _of_leaf(
    leaf: Leaf, part: Part, waiting: Iterator[Part], inner: list[Sum]
) -> tuple[list[_Extent], list[_Extent]]:
    quarter = leaf.stand.turn % 180 == 90
    sizes = (part.height, part.width) if quarter else (part.width, part.height)
    for number, tree in leaf.fills:
        pocket = leaf.stand.pockets[number]
        widths, heights = _extents(tree, waiting, inner)
        inner += [Sum.of(forms, base - pocket.width) for forms, base in widths]
        inner += [Sum.of(forms, base - pocket.height) for forms, base in heights]
    return [((sizes[0],), 0)], [((sizes[1],), 0)]


def leaves_in_order(tree: Tree) -> Iterator[int]:
    """Yield the kind of each piece in the order in which `conditions` takes them."""
    if isinstance(tree, Leaf):
        yield tree.kind
        for _, inside in tree.fills:
            yield from leaves_in_order(inside)
    elif isinstance(tree, Join):
        yield from leaves_in_order(tree.first)
        yield from leaves_in_order(tree.second)
    else:
        yield from tree.kinds


def narrowed(box: Box, wanted: Sequence[Sequence[Sum]], grain: int) -> tuple[Box, list[Sum]]:
    """Return a start at which as many trees as possible can be cut, and what is left over.

    Trees are taken one after the other; those that cannot be cut together with the ones before
    are left, and their conditions returned. Values are multiples of the grain where they can be.
    """
    left: list[Sum] = []
    kept: list[Sum] = []
    for sums in wanted:
        trial = settled(box, [*kept, *sums])
        if trial is None:
            left += sums
        else:
            box = trial
            kept += sums
    return chosen(box, kept, grain), left


def settled(box: Box, sums: Sequence[Sum]) -> Box | None:
    """Return the box without values at which a condition cannot hold; None when nothing is left."""
    for _ in range(20):
        before = box
        for item in sums:
            if item.least(box) > 0:
                return None
            box = item.tightened(box)
            if box.is_empty:
                return None
        if box == before:
            return box
    return box


def chosen(box: Box, sums: Sequence[Sum], grain: int) -> Box:
    """Return a single start in the box at which the conditions hold: round values if possible."""
    for at in range(len(box.low)):
        for value in _values(box.low[at], box.high[at], grain):
            trial = settled(box.within(at, value, value), sums)
            if trial is not None:
                box = trial
                break
    return Box(box.middle, box.middle)


def _values(low: int, high: int, grain: int) -> list[int]:
    """Return values to try from low to high: the lowest of a few, else one near the middle."""
    middle = (low + high) // 2
    if high - low < 4 * grain:
        middle = low
    round_ = [part * round(middle / part) for part in (grain, grain // 2)]
    return [value for value in (*round_, middle, low, high) if low <= value <= high]
