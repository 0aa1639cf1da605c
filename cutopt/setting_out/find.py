"""From a job to proposals for where to begin: the search, the choice among starts, the plans."""

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from cutopt import pipeline
from cutopt.documents import Job, Plan
from cutopt.errors import CannotBeMet, Fault, InvalidInput
from cutopt.layout import TakeOff, take_off
from cutopt.setting_out.count import Counts
from cutopt.setting_out.customs import candidates, customs_of
from cutopt.setting_out.domain import domains_of
from cutopt.setting_out.measures import Measures, measures_at
from cutopt.setting_out.meeting import chosen
from cutopt.setting_out.options import EASED, Option, Options
from cutopt.setting_out.search import Search, Start
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import Space, space_of
from cutopt.stop import MaxSeconds, Stop, first_of

Listed = dict[str, list[Option]]
Ended = Literal["done", "time", "cancelled", "too many boxes"]

#: So many common starts are counted before the search, for something good within a moment.
MOST_CANDIDATES = 60
SECONDS_CANDIDATES = 1.0
#: How often the smallest cut is raised at the same number of tiles.
MOST_RAISES = 6
#: A raise is worth it from this share of a tile on.
RAISE = Fraction(1, 200)
SECONDS_PLAN = 10.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """A start that is proposed: why, what it comes to, its take-off and its plan."""

    name: str
    start: Start
    measures: Measures
    job: Job
    taken_off: TakeOff
    plan: Plan

    @property
    def lower_bound(self) -> int:
        """Return what no plan from this start undercuts: counted in the search or by its plan."""
        return max(self.start.bound, sum(total.lower_bound for total in self.plan.totals))


@dataclass
class Found:
    """All that was found out about the starts of a job.

    Attributes
    ----------
    best : Start
        A start with the fewest tiles within the rules.
    bound : int
        No start within the rules takes fewer.
    chosen : list of Chosen
        Proposals, the fewest tiles first.
    customs : list
        Common starts: name, count, measures, whether they keep the rules.
    first_after, first_processor : float
        Seconds until the first start within the rules was counted, by the clock and of the
        processor.
    """

    space: Space
    options: Options
    best: Start
    bound: int
    stopped: Ended
    chosen: list[Chosen] = field(default_factory=list)
    customs: list[tuple[str, Start, Measures, bool]] = field(default_factory=list)
    first_after: float = 0.0
    first_processor: float = 0.0
    boxes: int = 0


def find(job: Job, stop: Stop, seed: int = 0) -> Found:
    """Return the best start of a job within its rules, and what else is worth considering.

    Raises
    ------
    InvalidInput
        When nothing may move, or what must hold contradicts itself.
    CannotBeMet
        When no start lies within the rules.
    """
    begun = time.monotonic(), time.process_time()
    space = space_of(job)
    if not space.variables:
        rule = "something may move, sideways or up and down"
        raise InvalidInput([Fault("/setting_out", "nothing that moves", rule)])
    sights = Sights(space)
    options = Options(space, sights, domains_of(space, sights))
    counts = Counts(job, stop, seed)
    search = Search(options, counts, stop)
    customs = {name: search.count(values) for name, values in customs_of(options).items()}
    listed = _kept(search)
    search.asked = dict(options.asked)
    _look_around(search, listed, customs.values())
    if search.best is None and (node := next(search.roots(listed), None)):
        search.keep(search.count(chosen(node.box, (), search.grain).low))
    first = time.monotonic() - begun[0], time.process_time() - begun[1]
    search.run(listed)
    if search.why == "too many boxes":
        _descend(search, listed)
    if search.best is None:
        rule = "some start keeps every rule; ease the least cut or what must hold"
        if search.why:
            rule = "a start that keeps every rule is found in the time; allow more of it"
        raise CannotBeMet([Fault("/setting_out", "no start", rule)])
    bound = search.by_area(listed) if options.sampled else search.bound
    found = Found(space, options, search.best, bound, search.why or "done")
    found.first_after, found.first_processor = first
    found.boxes = search.boxes
    found.customs = [
        (name, start, measures_at(options, start.values), search.allows(listed, start.values))
        for name, start in customs.items()
    ]
    front = [
        (name, _tidied(search, listed, start)) for name, start in _front(search, listed, found)
    ]
    found.best = front[0][1]
    found.chosen = [*_planned(space, options, front, stop, seed)]
    return found


def _kept(search: Search) -> Listed:
    """Return the boxes of every surface, the floor eased until they have a start in common.

    Walls that share their course lines may each keep the floor, but not together.
    """
    options = search.options
    listed = {place: options.of(place) for place in options.sights.places}
    for ease in EASED[1:]:
        if next(search.roots(listed), None) is not None:
            break
        listed = {place: options.eased_to(place, ease) for place in options.sights.places}
    return listed


def _look_around(search: Search, listed: Listed, customs: Iterable[Start]) -> None:
    """Count common starts, those within the rules, for something good within a moment."""
    until = MaxSeconds(SECONDS_CANDIDATES)
    for start in customs:
        if search.allows(listed, start.values):
            search.keep(start)
    for values in candidates(search.options, 40 * MOST_CANDIDATES):
        if until.seconds_left() <= 0 or len(search.laid) > MOST_CANDIDATES:
            return
        if search.allows(listed, values):
            search.keep(search.count(values))


def _descend(search: Search, listed: Listed) -> None:
    """Improve a start one variable after the other: for jobs with too many boxes to search."""
    why, search.why = search.why, ""
    here = search.best
    better = here is not None
    while better and here is not None and search.goes_on("trying starts"):
        better = False
        for number in range(len(here.values)):
            for value in _ends(search, listed, number):
                values = (*here.values[:number], value, *here.values[number + 1 :])
                if search.goes_on("trying starts") and search.allows(listed, values):
                    trial = search.keep(search.count(values))
                    if trial.tiles < here.tiles:
                        here, better = trial, True
    search.why = search.why or why


def _ends(search: Search, listed: Listed, number: int) -> list[int]:
    """Return the values of a variable at the ends and in the middle of its boxes."""
    boxes = [
        option.box
        for place, options in listed.items()
        if number in search.options.along(place)
        for option in options
    ]
    ends = {
        value for box in boxes for value in (box.low[number], box.high[number], box.middle[number])
    }
    return sorted(ends)


def _front(search: Search, listed: Listed, found: Found) -> Iterator[tuple[str, Start]]:
    """Yield the starts to propose, each with the reason, the fewest tiles first."""
    options = search.options
    best = _raised(search, found.best)
    found.best = best
    yield "fewest tiles", best
    share = measures_at(options, best.values).share
    for name, least in _shares(search, share):
        start = _fewest_at(search, least, 10**9)
        if start is not None:
            start = _raised(search, start)
            yield name, start
    known = [s for s in search.laid.values() if search.allows(listed, s.values)]
    measured = [(start, measures_at(options, start.values)) for start in known]
    for name, key in _KEYS.items():
        start, measures = min(measured, key=lambda item: (*key(item[1]), item[0].tiles))
        if key(measures) < key(measures_at(options, best.values)):
            yield name, start


_KEYS: dict[str, Callable[[Measures], tuple[int]]] = {
    "fewest notched pieces": lambda measures: (measures.notched,),
    "most joints at openings": lambda measures: (-measures.aligned,),
}


def _shares(search: Search, share: Fraction) -> Iterator[tuple[str, Fraction]]:
    """Yield larger least cuts to ask for: the wish of the rules, and the largest there is."""
    options = search.options
    wish = min(options.rule(place).least_cut.wish for place in options.sights.places)
    if share < wish and _is_possible(search, wish):
        yield "cuts as wished", wish
    low, high = share, Fraction(1)
    for _ in range(8):
        middle = (low + high) / 2
        if _is_possible(search, middle):
            low = middle
        else:
            high = middle
    if low > max(share, wish if _is_possible(search, wish) else share) + RAISE:
        yield "largest cuts", low


def _is_possible(search: Search, share: Fraction) -> bool:
    listed = _listed(search, share)
    return all(listed.values()) and next(search.roots(listed), None) is not None


def _listed(search: Search, share: Fraction) -> Listed:
    """Return the boxes in which all surfaces keep a larger least cut, and no less than asked."""
    options = search.options
    return {
        place: options.kept(place, max(share, floor) if options.decides(place) else floor, sliver)
        for place, (floor, sliver) in search.asked.items()
    }


def _fewest_at(search: Search, share: Fraction, cap: int) -> Start | None:
    """Return a start with the fewest tiles whose cuts are no smaller than a share."""
    listed = _listed(search, share)
    if not all(listed.values()) or not search.stop.seconds_left() > 0:
        return None
    stop = first_of(search.stop, MaxSeconds(max(0.5, search.stop.seconds_left() / 4)))
    inner = Search(search.options, search.counts, stop, cap=cap, laid=search.laid)
    inner.run(listed)
    return inner.best


def _raised(search: Search, start: Start) -> Start:
    """Return a start with as few tiles and a larger smallest cut, as far as time allows."""
    for _ in range(MOST_RAISES):
        share = measures_at(search.options, start.values).share + RAISE
        better = _fewest_at(search, share, start.tiles + 1) if share < 1 else None
        if better is None:
            return start
        start = better
    return start


def _tidied(search: Search, listed: Listed, start: Start) -> Start:
    """Return a start as good with fewer cut pieces: moved to where full tiles meet an edge."""
    options = search.options
    for number in range(len(start.values)):
        ends = {end for s in options.domains[number] for end in (s.low, s.high)}
        for value in sorted(ends):
            values = (*start.values[:number], value, *start.values[number + 1 :])
            if not search.allows(listed, values):
                continue
            if _neatness(options, values) >= _neatness(options, start.values):
                continue
            if measures_at(options, values).share < measures_at(options, start.values).share:
                continue
            if (trial := search.count(values)).tiles <= start.tiles:
                start = trial
    return start


def _neatness(options: Options, values: Sequence[int]) -> int:
    """Return how many pieces are cut at a start."""
    sights = options.sights
    return sum(len(sights.at(place, values).pieces) for place in sights.places)


def _planned(
    space: Space,
    options: Options,
    front: Sequence[tuple[str, Start]],
    stop: Stop,
    seed: int,
) -> Iterator[Chosen]:
    """Yield the proposals with their plans, each start once."""
    seen: set[tuple[int, ...]] = set()
    for name, start in front:
        if start.values in seen:
            continue
        seen.add(start.values)
        job = space.job_at(start.values)
        taken_off = take_off(job)
        left = MaxSeconds(min(SECONDS_PLAN, max(2.0, stop.seconds_left())))
        plan = pipeline.plan(taken_off.request, left, seed)
        yield Chosen(name, start, measures_at(options, start.values), job, taken_off, plan)
