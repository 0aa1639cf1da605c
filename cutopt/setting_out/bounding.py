"""The fewest tiles for pieces over a whole box of starts: what no start in it undercuts.

Every piece is taken as small as it becomes anywhere in the box, every pocket as large. Of the
patterns that this gives those go that hold two pieces which lie beside each other at no start:
their sizes together may be fixed although each of them changes. What saw and snap cutter cannot
do is left out of account: a smaller piece may be harder to snap.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from cutopt.documents import JobTile
from cutopt.planning.pose import turned_stands
from cutopt.setting_out.count import Counts, Enough, kerf_of
from cutopt.setting_out.forms import Box, Form, Sum
from cutopt.setting_out.span import Part
from cutopt.solver import Kind, Problem, Sheet, Tree, solve
from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.master import Columns, Watch, bound_by
from cutopt.solver.nests import Nests, list_nests
from cutopt.solver.patterns import Pattern, list_patterns

#: What is listed for one box; where it is not enough, the solver prices patterns instead.
CAPS = Caps(pairs=400_000, blocks=40_000)
NODES = 2_000


@dataclass(frozen=True, slots=True)
class Bounded:
    """New tiles that no start in a box undercuts for the cut pieces, and the plan that shows it.

    `kinds` are the pieces of each kind; `cuttings` name sheet, tree and how often.
    """

    bound: int
    kinds: tuple[tuple[Part, ...], ...]
    cuttings: tuple[tuple[int, Tree, int], ...]


def bounded(counts: Counts, tile: JobTile, parts: Sequence[Part], box: Box, target: int) -> Bounded:
    """Return what the cut pieces take at every start of a box, or that it is the target or more."""
    alike = Counter(parts)
    kinds = tuple(
        Kind(turned_stands(part.least(box), tile), number) for part, number in alike.items()
    )
    members = tuple((part,) * number for part, number in alike.items())
    problem = Problem(kinds, counts.stock(tile), kerf_of(tile, counts.job))
    patterns = _patterns(problem, tuple(alike), box, counts)
    if patterns is None:
        found = solve(problem, Enough(counts.stop, target), counts.seed, tile.id)
        cuttings = tuple((c.sheet, c.tree, c.count) for c in found.cuttings)
        return Bounded(found.bound, members, cuttings)
    return _chosen(problem, patterns, members, counts, target)


def _chosen(
    problem: Problem,
    patterns: Sequence[Pattern],
    members: tuple[tuple[Part, ...], ...],
    counts: Counts,
    target: int,
) -> Bounded:
    if not problem.kinds:
        return Bounded(0, (), ())
    counts.solved += 1
    columns = Columns(problem, patterns)
    prices = columns.relaxed()
    most = [0] * len(problem.sheets)
    for pattern in patterns:
        most[pattern.sheet] = max(most[pattern.sheet], prices.worth(pattern.kinds))
    bound = bound_by(problem, prices, most)
    amounts: Sequence[float] = prices.amounts
    if bound < target:
        watch = Watch(counts.stop.seconds_left(), NODES, lambda: counts.stop.seconds_left() <= 0)
        whole, proven = columns.fewest(watch, counts.seed)
        bound = max(bound, proven)
        amounts = whole or amounts
    used = tuple(
        (pattern.sheet, pattern.make_tree(), max(1, round(amount)))
        for pattern, amount in zip(patterns, amounts, strict=True)
        if amount > 1e-6 and bound < target
    )
    return Bounded(bound, members, used)


def _patterns(
    problem: Problem, parts: Sequence[Part], box: Box, counts: Counts
) -> list[Pattern] | None:
    """Return the patterns that may be cut at some start; None when they are too many to list."""
    slanted = any(part.exact and part.exact.hull for part in parts)
    apart = _never_together(problem, parts, box)
    found: list[Pattern] = []
    for number, sheet in enumerate(problem.sheets):
        nests = list_nests(problem, sheet, lambda: True) if slanted else Nests()
        blocks = Blocks(problem, sheet, nests, CAPS).grow(lambda: counts.stop.seconds_left() > 0)
        if not blocks.complete:
            return None
        listed = list_patterns(problem, number, blocks).patterns
        if len(listed) > 4 * CAPS.blocks:
            return None
        found += _largest([p for p in listed if not _holds_any(p.kinds, apart)])
    return found


def _holds_any(kinds: Sequence[int], apart: frozenset[tuple[int, int]]) -> bool:
    """Tell whether a pattern holds two pieces (kinds are sorted) that are never together."""
    many = len(kinds)
    return any((kinds[i], kinds[j]) in apart for i in range(many) for j in range(i + 1, many))


def _largest(patterns: list[Pattern]) -> list[Pattern]:
    """Leave out the patterns that another one contains."""
    within = {
        (*pattern.kinds[:at], *pattern.kinds[at + 1 :])
        for pattern in patterns
        for at in range(len(pattern.kinds))
    }
    return [pattern for pattern in patterns if pattern.kinds not in within]


def _never_together(
    problem: Problem, parts: Sequence[Part], box: Box
) -> frozenset[tuple[int, int]]:
    """Return the pairs of kinds of which no sheet holds one of each at any start in the box.

    Only pairs of which one grows as the other shrinks: of all others the listing knows already.
    """
    turned = any(stand.turn in (90, 270) for kind in problem.kinds for stand in kind.stands)
    plain = [at for at, part in enumerate(parts) if not part.notches and not _is_slanted(part)]
    return frozenset(
        (i, j)
        for i, j in combinations(plain, 2)
        if _opposed(parts[i], parts[j])
        and not any(
            _together(parts[i], parts[j], (sheet, problem.kerf, turned), box)
            for sheet in problem.sheets
        )
    )


def _opposed(one: Part, other: Part) -> bool:
    return any(
        a.slope and a.slope == -b.slope and a.variable == b.variable
        for a in (one.width, one.height)
        for b in (other.width, other.height)
    )


def _together(one: Part, other: Part, room: tuple[Sheet, int, bool], box: Box) -> bool:
    """Tell whether two pieces fit beside or upon each other at some start in a box."""
    sheet, kerf, turned = room
    for a, b in product(_ways(one, turned), _ways(other, turned)):
        for axis, size in ((0, sheet.width), (1, sheet.height)):
            if Sum.of((a[axis], b[axis]), kerf - size).least(box) <= 0:
                return True
    return False


def _is_slanted(part: Part) -> bool:
    return part.exact is not None and part.exact.hull is not None


def _ways(part: Part, turned: bool) -> Iterator[tuple[Form, Form]]:
    yield part.width, part.height
    if turned:
        yield part.height, part.width
