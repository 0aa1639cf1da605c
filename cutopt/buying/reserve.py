"""How many spare tiles: the quantile of what breaking takes, exact or by simulated jobs.

In each job every cut has its chance to break the piece. A broken piece is cut again from a
leftover of the plan that holds it, else from a spare tile, which may serve two pieces that one
straight cut parts; it may break again. Of n pieces alike the number of pieces broken until all are
whole is negative binomial. Leftovers and halves of spare tiles are dealt out as well as can be: the
spare tiles are the pieces to cut again less the pairs of a maximum matching. More broken pieces
never take fewer spare tiles, so the reserve rises with every chance and with the service level.

Faulty tiles go to where tiles are cut up: a share of them hides the fault there, the rest is lost.
"""

import math
import random
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, combinations

from cutopt.buying.matching import FREE, match_from
from cutopt.buying.recut import Risk
from cutopt.errors import CannotBeMet, Fault

#: Probability that is left out at the end of a distribution.
TAIL = 1e-12
#: More pieces to cut again in one job are paired one after the other: safe, not always best.
MOST_MATCHED = 80
#: More than this in the mean is no reserve but a wrong chance.
MOST_EXPECTED = 5_000
#: Simulated jobs times the square of the pieces to cut again, which may pair with one another.
MOST_PAIRED = 6_000_000
#: Simulated jobs times kinds of pieces.
MOST_DRAWN = 6_000_000
#: Simulated jobs beyond the quantile that it takes for the quantile to be told.
JOBS_BEYOND = 20
MOST_JOBS = 200_000
#: Standard deviations of a two-sided 95 % interval of the normal distribution.
NORMAL_95 = 1.959964


@dataclass(frozen=True)
class Spares:
    """The distribution of the spare tiles that a job takes.

    Attributes
    ----------
    chances : tuple of float
        Chance of each number of spare tiles, from none upwards.
    jobs : int
        How many jobs were simulated; 0 when the distribution is exact.
    """

    chances: tuple[float, ...]
    jobs: int = 0

    @cached_property
    def enough(self) -> tuple[float, ...]:
        """Return the chance that so many spare tiles are enough, from none upwards."""
        return tuple(accumulate(self.chances))

    def chance_short(self, spares: int) -> float:
        """Return the chance that so many are too few."""
        if spares >= len(self.enough):
            return 0.0
        return max(0.0, 1.0 - self.enough[spares])

    def at(self, level: float) -> int:
        """Return the fewest that are enough with this chance."""
        return min(bisect_left(self.enough, level - TAIL), len(self.enough) - 1)

    @property
    def mean(self) -> float:
        """Return how many a job takes in the mean."""
        return sum(spares * chance for spares, chance in enumerate(self.chances))

    def interval(self, level: float) -> tuple[int, int | None]:
        """Return the 95 % confidence interval of the quantile; None where no upper end shows.

        By order statistics, with the normal approximation of the binomial distribution.
        """
        if not self.jobs:
            return self.at(level), self.at(level)
        spread = NORMAL_95 * math.sqrt(level * (1.0 - level) / self.jobs)
        low = self.at(max(level - spread, TAIL))
        upper = level + spread + 1.0 / self.jobs
        return low, self.at(upper) if upper < 1.0 else None

    def chance_interval(self, spares: int) -> tuple[float, float]:
        """Return the 95 % confidence interval of the chance to run short, after Wilson (1927)."""
        chance = self.chance_short(spares)
        if not self.jobs:
            return chance, chance
        z2 = NORMAL_95**2 / self.jobs
        middle = (chance + z2 / 2) / (1 + z2)
        spread = math.sqrt(chance * (1 - chance) * z2 + z2**2 / 4) / (1 + z2)
        return max(0.0, middle - spread), min(1.0, middle + spread)

    def cheapest(self, price: float, cost_of_running_short: float) -> int:
        """Return the number from which one more costs more than the risk that it removes."""
        costs = [
            spares * price + cost_of_running_short * self.chance_short(spares)
            for spares in range(len(self.chances) + 1)
        ]
        return costs.index(min(costs))


def spares_of(risk: Risk, jobs: int, level: float, seed: int = 0) -> Spares:
    """Return the distribution of spare tiles: exact where a closed form exists, else simulated.

    Raises
    ------
    CannotBeMet
        When the chances make so many pieces break that no reserve means anything.
    """
    expected = risk.expected_attempts
    if expected > MOST_EXPECTED:
        value = f"{expected:,.0f} pieces to cut again"
        rule = f"the chances of breaking leave at most {MOST_EXPECTED:,} pieces to cut again"
        raise CannotBeMet([Fault("/order/tiles", value, rule)])
    if is_closed(risk):
        return exact(risk)
    # A quantile far out needs jobs beyond it; a large job needs fewer of them.
    wanted = max(jobs, math.ceil(JOBS_BEYOND / (1.0 - level)))
    drawn = max(1, len(risk.counts))  # no kinds at all: then only faulty tiles are drawn
    affordable = int(min(MOST_PAIRED / (1.0 + expected) ** 2, MOST_DRAWN / drawn))
    return simulated(risk, min(wanted, max(1_000, affordable), MOST_JOBS), seed)


# Closed forms


def is_closed(risk: Risk) -> bool:
    """Tell whether all that can break is cut again alike, so that only its number matters."""
    breaking = [kind for kind, chance in enumerate(risk.chances) if chance and risk.counts[kind]]
    if risk.faulty and risk.hidden:
        return False
    if len({risk.fits_of(kind) for kind in breaking}) > 1:
        return False
    shares = (risk.share_a_tile(one, other) for one in breaking for other in breaking)
    first = next(shares, None)
    return all(other == first for other in shares)


def exact(risk: Risk) -> Spares:
    """Return the distribution by convolution of negative binomial ones; see `is_closed`."""
    breaking = [kind for kind, chance in enumerate(risk.chances) if chance and risk.counts[kind]]
    broken = [1.0]
    for kind in breaking:
        broken = convolved(broken, negative_binomial(risk.counts[kind], risk.chances[kind]))
    room, pairs = 0, False
    if breaking:
        room = sum(risk.leftovers[at] for at in risk.fits_of(breaking[0]))
        pairs = risk.share_a_tile(breaking[0], breaking[0])
    spares = [0.0] * (len(broken) + 1)
    for many, chance in enumerate(broken):
        rest = max(0, many - room)
        spares[-(-rest // 2) if pairs else rest] += chance
    return Spares(_trimmed(_with_faults(spares, risk)))


def _with_faults(spares: Sequence[float], risk: Risk) -> Sequence[float]:
    if not risk.faulty:
        return spares
    found: list[float] = []
    for many, chance in enumerate(spares):
        if chance > TAIL:
            lost = negative_binomial(risk.needed + many, risk.faulty)
            found += [0.0] * (many + len(lost) - len(found))
            for more, share in enumerate(lost):
                found[many + more] += chance * share
    return found


def negative_binomial(count: int, chance: float) -> list[float]:
    """Return the chances of 0, 1, … pieces broken until `count` are whole, up to `TAIL`."""
    logarithm = count * math.log1p(-chance)
    found: list[float] = []
    total, many = 0.0, 0
    peak = count * chance / (1.0 - chance)
    while total < 1.0 - TAIL and not (many > peak and found[-1] < TAIL * TAIL):
        found.append(math.exp(logarithm))
        total += found[-1]
        many += 1
        logarithm += math.log(chance * (count + many - 1) / many) if chance and count else -math.inf
    return found


def convolved(one: Sequence[float], other: Sequence[float]) -> list[float]:
    """Return the distribution of a sum."""
    found = [0.0] * (len(one) + len(other) - 1)
    for a, chance in enumerate(one):
        for b, share in enumerate(other):
            found[a + b] += chance * share
    return found


def _trimmed(chances: Sequence[float]) -> tuple[float, ...]:
    last = max(at for at, chance in enumerate(chances) if chance > 0.0)
    return tuple(chances[: last + 1])


# Simulated jobs


def simulated(risk: Risk, jobs: int, seed: int) -> Spares:
    """Return the distribution over so many simulated jobs."""
    draw = random.Random(seed).random
    deal, faults = _Deal(risk), _Faults(risk)
    kinds = [
        (kind, list(accumulate(negative_binomial(many, chance))))
        for kind, (many, chance) in enumerate(zip(risk.counts, risk.chances, strict=True))
    ]
    counts = Counter(faults.spares(deal.spares(_broken(kinds, draw)), draw) for _ in range(jobs))
    return Spares(tuple(counts[spares] / jobs for spares in range(max(counts) + 1)), jobs)


def _broken(
    kinds: Sequence[tuple[int, Sequence[float]]], draw: Callable[[], float]
) -> Iterator[tuple[int, int]]:
    """Yield how many pieces of each kind are to be cut again.

    One draw a kind, read off its distribution: the same draw never gives less at a higher chance.
    """
    for kind, enough in kinds:
        number = draw()
        if number > enough[0]:
            yield kind, bisect_left(enough, number)


class _Deal:
    """Deals leftovers and spare tiles out to the pieces to cut again; what it found it keeps."""

    def __init__(self, risk: Risk) -> None:
        self._risk = risk
        kinds = range(len(risk.counts))
        self._seats = [sum(risk.leftovers[at] for at in risk.fits_of(kind)) for kind in kinds]
        self._known: dict[tuple[int, ...], int] = {}

    def spares(self, broken: Iterable[tuple[int, int]]) -> int:
        """Return how many spare tiles the pieces take, given as kind and number."""
        scarce = self._scarce(broken)
        if scarce not in self._known:
            few = len(scarce) <= MOST_MATCHED
            self._known[scarce] = self._matched(scarce) if few else self._one_by_one(scarce)
        return self._known[scarce]

    def _scarce(self, broken: Iterable[tuple[int, int]]) -> tuple[int, ...]:
        """Return the pieces without those that have a leftover whatever the others take.

        A piece that fits as many leftovers as there are pieces can wait until all others have
        theirs. To give up its half of a spare tile for one costs nothing.
        """
        by_seats = sorted(broken, key=lambda one: (-self._seats[one[0]], one[0]))
        pieces = [kind for kind, many in by_seats for _ in range(many)]
        waiting = 0
        while waiting < len(pieces) and self._seats[pieces[waiting]] >= len(pieces) - waiting:
            waiting += 1
        return tuple(pieces[waiting:])

    def _matched(self, pieces: Sequence[int]) -> int:
        """Return the pieces less the pairs of a maximum matching, with seats and one another.

        Seats first: once they take as many pieces as they can, no change of pairs seats more, so
        that only pieces need be searched from.
        """
        near: list[list[int]] = [[] for _ in pieces]
        seats: dict[int, list[int]] = {}
        for at, kind in enumerate(pieces):
            for leftover in self._risk.fits_of(kind):
                if leftover not in seats:
                    many = min(self._risk.leftovers[leftover], len(pieces))
                    seats[leftover] = list(range(len(near), len(near) + many))
                    near += [[] for _ in range(many)]
                near[at] += seats[leftover]
                for seat in seats[leftover]:
                    near[seat].append(at)
        mate, roots = [FREE] * len(near), range(len(pieces))
        match_from(roots, near, mate)
        for a, b in combinations(roots, 2):
            if self._risk.share_a_tile(pieces[a], pieces[b]):
                near[a].append(b)
                near[b].append(a)
        match_from(roots, near, mate)
        return len(pieces) - sum(other != FREE for other in mate) // 2

    def _one_by_one(self, pieces: Sequence[int]) -> int:
        """Return the same, but each piece takes the first place that is free."""
        left, halves, spares = list(self._risk.leftovers), Counter[int](), 0
        for kind in pieces:
            place = next((at for at in self._risk.fits_of(kind) if left[at]), None)
            shares = (other for other in halves if self._risk.share_a_tile(kind, other))
            half = next(shares, None)
            if place is not None:
                left[place] -= 1
            elif half is not None:
                halves[half] -= 1
                halves += Counter()  # drops what is used up
            else:
                spares += 1
                halves[kind] += 1
        return spares


class _Faults:
    """Tiles that are lost to visible faults, and how many spare tiles replace them."""

    def __init__(self, risk: Risk) -> None:
        self.risk = risk
        self.lost = risk.faulty * (1.0 - risk.hidden)
        rest = 1.0 - self.lost
        self.hides = risk.faulty * risk.hidden / rest if rest else 0.0
        self._binomials: dict[tuple[int, float], list[float]] = {}
        self._more: dict[tuple[int, float], list[float]] = {}

    def spares(self, spares: int, draw: Callable[[], float]) -> int:
        """Return the spare tiles for broken pieces and those for faulty tiles together."""
        if not self.risk.faulty:
            return spares
        lost = self._drawn(self.risk.needed, self.lost, draw())
        hidden = self._drawn(self.risk.needed - lost, self.hides, draw())
        room = self.risk.cut + spares
        missing = spares + lost + max(0, hidden - room)
        chance = self.risk.faulty if hidden >= room else self.lost
        return missing + self._further(missing, chance, draw())

    def _drawn(self, count: int, chance: float, number: float) -> int:
        key = count, chance
        if key not in self._binomials:
            self._binomials[key] = list(accumulate(_binomial(count, chance)))
        return min(bisect_right(self._binomials[key], number), count)

    def _further(self, count: int, chance: float, number: float) -> int:
        """Return how many faulty ones come along until `count` good spare tiles are there."""
        key = count, chance
        if key not in self._more:
            self._more[key] = list(accumulate(negative_binomial(count, chance)))
        return bisect_left(self._more[key], number)


def _binomial(count: int, chance: float) -> Iterator[float]:
    if chance in (0.0, 1.0):
        yield from [1.0] if not chance else [0.0] * count + [1.0]
        return
    odds = math.log(chance) - math.log1p(-chance)
    logarithm, total = count * math.log1p(-chance), 0.0
    for many in range(count + 1):
        yield math.exp(logarithm)
        total += math.exp(logarithm)
        if total > 1.0 - TAIL:
            return
        logarithm += odds + math.log((count - many) / (many + 1)) if many < count else 0.0
