"""The fewest tiles for pieces over a whole box of starts: what no start in it undercuts.

Every piece is taken as small as it becomes anywhere in the box, every pocket as large. Of the
patterns that this gives those go that hold two pieces which lie beside each other at no start:
their sizes together may be fixed although each of them changes. What saw and snap cutter cannot
do is left out of account: a smaller piece may be harder to snap.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

from cutopt.documents import JobTile
from cutopt.planning.pose import turned_stands
from cutopt.setting_out.count import Counts, Enough, kerf_of
from cutopt.setting_out.forms import Box, Form, Sum
from cutopt.setting_out.span import Part
from cutopt.solver import Covering, Cutting, Kind, Problem, Sheet, Solution, Stand, fewest_of, solve


@dataclass(frozen=True, slots=True)
class Bounded:
    """New tiles that no start in a box undercuts for the cut pieces, and the plan that shows it.

    `kinds` are the pieces of each kind.
    """

    bound: int
    kinds: tuple[tuple[Part, ...], ...]
    cuttings: tuple[Cutting, ...]


def bounded(counts: Counts, tile: JobTile, parts: Sequence[Part], box: Box, target: int) -> Bounded:
    """Return what the cut pieces take at every start of a box, or that it is the target or more."""
    alike = Counter(parts)
    kinds = tuple(Kind(_turned(part.least(box), tile), number) for part, number in alike.items())
    members = tuple((part,) * number for part, number in alike.items())
    problem = Problem(kinds, counts.stock(tile), kerf_of(tile, counts.job))
    apart = _never_together(problem, tuple(alike), box)
    counts.solved += 1 if kinds else 0
    found: Covering | Solution | None = fewest_of(problem, apart, target, counts.stop, counts.seed)
    if found is None:
        found = solve(problem, Enough(counts.stop, target), counts.seed, tile.id)
    return Bounded(found.bound, members, found.cuttings)


@lru_cache(maxsize=100_000)
def _turned(stand: Stand, tile: JobTile) -> tuple[Stand, ...]:
    """Return the ways that a piece may lie; many boxes ask for the same."""
    return turned_stands(stand, tile)


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
