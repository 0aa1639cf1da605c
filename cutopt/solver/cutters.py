"""What the saw and the snap cutter can do, and in which order a sheet is cut so that they can.

A saw takes its kerf and cuts up to some length. A snap cutter scores and breaks: straight cuts
only, up to some length, and neither side may be narrower than a strip that still breaks clean.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from cutopt.solver.problem import (
    ACROSS,
    UPWARDS,
    Cutting,
    Join,
    Leaf,
    Nest,
    Problem,
    Sheet,
    Tree,
    can_shape,
)
from cutopt.solver.tools import Cutters


@dataclass(frozen=True)
class Step:
    """What is done next with a rectangle in which a tree lies.

    Attributes
    ----------
    upright : bool
        Whether the cut is vertical.
    at : int or None
        Where a join is parted, from the low end; None where the tree is trimmed to its size.
    parts : tuple of Step
        What is done with what the cut makes: the first part and the second, or the one kept.
    """

    upright: bool
    at: int | None
    parts: tuple["Step | None", ...]

    def takes_up(self, upright: bool) -> bool:
        """Tell whether the rectangle may be wider (higher) than drawn: a strip is cut off it."""
        if self.at is None:
            return upright == self.upright or _takes_up(self.parts[0], upright)
        taken = [_takes_up(part, upright) for part in self.parts]
        return any(taken) if upright == self.upright else all(taken)


def _takes_up(step: Step | None, upright: bool) -> bool:
    return step is not None and step.takes_up(upright)


@dataclass
class Router:
    """Looks for the cuts, one after the other; what was found is remembered.

    A rectangle that is its piece already needs no step: that is None among the parts of a step,
    and told apart from a rectangle that cannot be cut by `can_cut`.
    """

    cutters: Cutters
    kerf: int
    known: dict[tuple[int, int, int], tuple[bool, Step | None]] = field(default_factory=dict)
    kept: list[Tree] = field(default_factory=list)

    def can_cut(self, tree: Tree, sheet: Sheet) -> bool:
        """Tell whether every cut that frees the pieces of a tree can be made."""
        return self.cutters.saw is None or self.look(tree, sheet.width, sheet.height)[0]

    def can_cut_alone(self, leaf: Leaf, sheet: Sheet) -> bool:
        """Tell whether a single piece can be cut from a sheet."""
        fits = sheet.holds(leaf.width, leaf.height, leaf.wants)
        return fits and self.can_cut(leaf, sheet)

    def can_cut_all(self, problem: Problem, cuttings: Iterable[Cutting]) -> bool:
        """Tell whether every sheet of a plan can be cut."""
        return all(self.can_cut(one.tree, problem.sheets[one.sheet]) for one in cuttings)

    def look(self, tree: Tree, width: int, height: int) -> tuple[bool, Step | None]:
        """Return whether a rectangle can be cut so, and the first step if one is needed."""
        key = id(tree), width, height
        if key not in self.known:
            self.kept.append(tree)  # so that no other tree gets its id
            self.known[key] = self._search(tree, width, height)
        return self.known[key]

    def _search(self, tree: Tree, width: int, height: int) -> tuple[bool, Step | None]:
        if not isinstance(tree, Join) and (tree.width, tree.height) == (width, height):
            return self._shaped(tree), None
        step = next(self._steps(tree, width, height), None)
        return step is not None, step

    def _shaped(self, block: Leaf | Nest) -> bool:
        if isinstance(block, Nest):
            return self.cutters.slants(block.width, block.height)
        pockets = block.stand.pockets
        return can_shape(self.cutters, block.stand) and all(
            self.look(guest, pockets[number].width, pockets[number].height)[0]
            for number, guest in block.fills
        )

    def _steps(self, tree: Tree, width: int, height: int) -> Iterator[Step]:
        yield from self._trims(tree, width, height)
        if isinstance(tree, Join):
            whole, length = (width, height) if tree.beside else (height, width)
            for at in (_along(tree.first, tree), whole - self.kerf - _along(tree.second, tree)):
                yield from self._parted(tree, at, whole - at - self.kerf, length)

    def _parted(self, tree: Join, at: int, rest: int, length: int) -> Iterator[Step]:
        """Yield the cut that parts a join, if both of its parts can then be cut."""
        if at < _along(tree.first, tree) or rest < _along(tree.second, tree):
            return
        sizes = ((at, length), (rest, length)) if tree.beside else ((length, at), (length, rest))
        first, one = self.look(tree.first, *sizes[0])
        second, other = self.look(tree.second, *sizes[1])
        free = not self.kerf or _takes_up(one, tree.beside) or _takes_up(other, tree.beside)
        if first and second and self.cutters.straight(length, at, rest, free=free):
            yield Step(tree.beside, at, (one, other))

    def _trims(self, tree: Tree, width: int, height: int) -> Iterator[Step]:
        beside, above = width - tree.width, height - tree.height
        ways = []
        if beside > 0 and tree.wants & ACROSS != ACROSS:
            ways.append((beside * height, True, height, tree.width, beside, (tree.width, height)))
        if above > 0 and tree.wants & UPWARDS != UPWARDS:
            ways.append((above * width, False, width, tree.height, above, (width, tree.height)))
        for _, upright, length, size, slack, left in sorted(ways, reverse=True):
            if self.cutters.straight(length, size, slack - self.kerf, free=True):
                done, step = self.look(tree, *left)
                if done:
                    yield Step(upright, None, (step,))


def _along(part: Tree, join: Join) -> int:
    return part.width if join.beside else part.height


def cut_apart(problem: Problem, cuttings: Iterable[Cutting], router: Router) -> list[Cutting]:
    """Return a plan that can be cut: where a sheet cannot, each of its pieces gets its own."""
    plan: list[Cutting] = []
    for cutting in cuttings:
        if router.can_cut(cutting.tree, problem.sheets[cutting.sheet]):
            plan.append(cutting)
        else:
            alone = (alone_on(problem, kind, router) for kind in cutting.tree.kinds)
            plan += [Cutting(sheet, leaf, cutting.count) for sheet, leaf in filter(None, alone)]
    return plan


def alone_on(problem: Problem, kind: int, router: Router) -> tuple[int, Leaf] | None:
    """Return a new sheet, of any number if may be, and a piece cut from it alone, or None."""
    for number in sorted(problem.to_buy, key=lambda one: problem.sheets[one].limit is not None):
        sheet = problem.sheets[number]
        for stand in problem.kinds[kind].stands if problem.kinds[kind].comes_of(sheet) else ():
            if router.can_cut_alone(leaf := Leaf(kind, stand), sheet):
                return number, leaf
    return None
