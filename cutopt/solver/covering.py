"""Fewest sheets from listed patterns only: a bound and what it takes, without pricing.

For callers who ask many related problems and who know of pieces that never lie on one sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.master import Columns, Watch, bound_by
from cutopt.solver.nests import Nests, list_nests
from cutopt.solver.patterns import Pattern, list_patterns
from cutopt.solver.problem import Cutting, Problem
from cutopt.stop import Stop

#: What is listed; where it is not enough, nothing is answered.
CAPS = Caps(pairs=400_000, blocks=40_000)
NODES = 2_000


@dataclass(frozen=True, slots=True)
class Covering:
    """New sheets that no plan undercuts, and the cuttings of a plan that is close to it.

    The cuttings are those of the relaxation where no whole plan was found in time, and none
    where the bound reaches the target.
    """

    bound: int
    cuttings: tuple[Cutting, ...]


def fewest_of(
    problem: Problem, apart: frozenset[tuple[int, int]], target: int, stop: Stop, seed: int = 0
) -> Covering | None:
    """Return the fewest sheets whatever the cutters can do; None with too many patterns to list.

    Parameters
    ----------
    problem : Problem
        Kinds and sheets.
    apart : frozenset of pairs
        Kinds that never lie on one sheet, the lower number first.
    target : int
        A bound that is high enough: nothing is searched beyond it.
    stop : Stop
        Ends listing and search.
    seed : int
        Of the search.
    """
    if not problem.kinds:
        return Covering(0, ())
    patterns = _listed(problem, apart, stop)
    if patterns is None:
        return None
    columns = Columns(problem, patterns)
    prices = columns.relaxed()
    most = [0] * len(problem.sheets)
    for pattern in patterns:
        most[pattern.sheet] = max(most[pattern.sheet], prices.worth(pattern.kinds))
    bound = bound_by(problem, prices, most)
    amounts: Sequence[float] = prices.amounts
    if bound < target:
        watch = Watch(stop.seconds_left(), NODES, lambda: stop.seconds_left() <= 0)
        whole, proven = columns.fewest(watch, seed)
        bound = max(bound, proven)
        amounts = whole or amounts
    if bound >= target:
        return Covering(bound, ())
    pairs = zip(patterns, amounts, strict=True)
    used = [(pattern, amount) for pattern, amount in pairs if amount > 1e-6]
    return Covering(bound, tuple(_cutting(pattern, amount) for pattern, amount in used))


def _cutting(pattern: Pattern, amount: float) -> Cutting:
    return Cutting(pattern.sheet, pattern.make_tree(), max(1, round(amount)))


def _listed(
    problem: Problem, apart: frozenset[tuple[int, int]], stop: Stop
) -> list[Pattern] | None:
    """Return the largest patterns without pairs that are apart; None when they are too many."""
    slanted = any(stand.hull for kind in problem.kinds for stand in kind.stands)
    found: list[Pattern] = []
    for number, sheet in enumerate(problem.sheets):
        nests = list_nests(problem, sheet, lambda: True) if slanted else Nests()
        blocks = Blocks(problem, sheet, nests, CAPS).grow(lambda: stop.seconds_left() > 0)
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
