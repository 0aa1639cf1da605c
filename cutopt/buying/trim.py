"""Trim profiles out of bars: runs from the geometry or measured, the fewest bars, the cut list.

Where two runs meet with a mitre both reach to the outer corner; butted, the run that begins
there ends at the face of the one that comes before it. A bar is cut with the profile the same way
round, so that between two mitred ends lies a cut at 45 degrees, which takes kerf times the square
root of 2.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from cutopt.buying.edges import Edges
from cutopt.documents import Job
from cutopt.documents.buying import OrderSettings, Profile
from cutopt.documents.order import BarCut, BarsBought, TrimOrder, TrimPiece
from cutopt.errors import CannotBeMet, Fault, InvalidInput
from cutopt.layout import TrimRun
from cutopt.solver import Bar, BarSolution, cut_bars
from cutopt.stop import MaxSeconds
from cutopt.units import Units, show_length

#: A search for the fewest bars ends after so many seconds; the bound then tells how far it came.
SECONDS = 10.0
#: Prices are counted in this part of the unit of money.
PRICE_STEP = 10_000
#: At least the square root of 2, by whole numbers.
SLANTED = (99, 70)


@dataclass(frozen=True, slots=True)
class _Length:
    name: str
    length: int
    ends: tuple[str, str]
    quantity: int = 1
    joined_from: int = 1


def trim_orders(
    settings: OrderSettings, units: Units, runs: Sequence[TrimRun], job: Job | None
) -> Iterator[TrimOrder]:
    """Yield the order of each profile that runs somewhere.

    Raises
    ------
    InvalidInput
        When a profile names a surface that is not there, or that another profile names.
    CannotBeMet
        When a run is longer than every bar and may not be joined.
    """
    edges = Edges(job) if job is not None else None
    by_mark: dict[str, list[tuple[str, TrimRun]]] = defaultdict(list)
    for run in runs:
        if edges is not None:
            by_mark[edges.mark_of(run)].append((edges.name_of(run), run))
    # What nobody asked for must not make an order impossible: a profile that is assumed may join.
    usual = (Profile(id="profile", joins=True),) if runs else ()
    profiles = usual if settings.trim is None else settings.trim
    if edges is not None:
        _reject_marks(profiles, edges.marks)
    wanted = [list(_lengths(profile, by_mark, profiles)) for profile in profiles]
    _reject_too_long(profiles, wanted, units)
    for profile, lengths in zip(profiles, wanted, strict=True):
        if lengths:
            yield _ordered(profile, list(_joined(lengths, profile)))


def _reject_marks(profiles: Sequence[Profile], marks: set[str]) -> None:
    faults, named = [], set[str]()
    for at, profile in enumerate(profiles):
        for number, mark in enumerate(profile.surfaces or ()):
            place = f"/order/trim/{at}/surfaces/{number}"
            if mark not in marks:
                known = ", ".join(sorted(marks)[:12])
                faults.append(Fault(place, mark, f"this names a surface of the job: {known}"))
            elif mark in named:
                faults.append(Fault(place, mark, "the edges of a surface take one profile"))
            named.add(mark)
    if faults:
        raise InvalidInput(faults)


def _lengths(
    profile: Profile,
    by_mark: Mapping[str, list[tuple[str, TrimRun]]],
    profiles: Iterable[Profile],
) -> Iterator[_Length]:
    taken = {mark for other in profiles for mark in other.surfaces or ()}
    marks: Iterable[str] = profile.surfaces or ()
    if profile.surfaces is None and not profile.runs:
        marks = [mark for mark in by_mark if mark not in taken]
    for mark in marks:
        for name, run in by_mark.get(mark, []):
            yield _cornered(_Length(name, run.length, (run.start, run.end)), profile, run.face)
    for measured in profile.runs:
        start, end = ("mitre" if measured.mitres > at else "square" for at in range(2))
        longer = measured.length + profile.face * measured.mitres
        found = _Length(measured.name, longer, (start, end), measured.quantity)
        yield _cornered(found, profile, profile.face)


def _cornered(run: _Length, profile: Profile, face: int) -> _Length:
    """Return a run as its corners ask: butted, it begins at the face of the run before it."""
    if profile.corners == "mitre":
        return run
    shorter = face if run.ends[0] == "mitre" else 0
    ends = tuple(end.replace("mitre", "butt") for end in run.ends)
    return replace(run, length=run.length - shorter, ends=(ends[0], ends[1]))


def _reject_too_long(
    profiles: Sequence[Profile], wanted: Sequence[Sequence[_Length]], units: Units
) -> None:
    faults = []
    for at, (profile, lengths) in enumerate(zip(profiles, wanted, strict=True)):
        longest = max(bar.length for bar in profile.bars)
        for run in lengths:
            if run.length > longest and not profile.joins:
                rule = (
                    f"a run is cut from one bar, here at most {show_length(longest, units)} long; "
                    "profiles with `joins` may be joined"
                )
                value = f"{run.name}, {show_length(run.length, units)}"
                faults.append(Fault(f"/order/trim/{at}", value, rule))
    if faults:
        raise CannotBeMet(faults)


def _joined(lengths: Iterable[_Length], profile: Profile) -> Iterator[_Length]:
    """Yield the lengths to cut: a run longer than every bar as whole bars and a rest."""
    longest = max(bar.length for bar in profile.bars)
    for run in lengths:
        whole, rest = divmod(run.length, longest)
        parts = whole + bool(rest)
        if parts <= 1:
            yield run
            continue
        start, end = run.ends
        for part in range(parts):
            yield replace(
                run,
                name=f"{run.name}, part {part + 1}",
                length=longest if part < whole else rest,
                ends=(start if part == 0 else "join", end if part == parts - 1 else "join"),
                joined_from=parts,
            )


def _ordered(profile: Profile, runs: Sequence[_Length]) -> TrimOrder:
    wanted: dict[int, list[str]] = defaultdict(list)
    for run in runs:
        wanted[run.length] += [run.name] * run.quantity
    prices = [bar.price for bar in profile.bars]
    priced = all(price is not None and price > 0 for price in prices)
    bars = [
        Bar(bar.length, int(bar.price * PRICE_STEP) if priced and bar.price is not None else 1)
        for bar in profile.bars
    ]
    lengths = sorted(((length, len(names)) for length, names in wanted.items()), reverse=True)
    kerf = _kerf(profile, runs)
    found = cut_bars(bars, lengths, kerf, MaxSeconds(SECONDS))
    count = [0] * len(bars)
    for cut in found.cut:
        count[cut.bar] += cut.times
    bought = [
        BarsBought(length=bar.length, count=many, price=bar.price)
        for bar, many in zip(profile.bars, count, strict=True)
        if many
    ]
    costs = [bar.price * bar.count for bar in bought if bar.price is not None]
    return TrimOrder(
        profile=profile.id,
        corners=profile.corners,
        runs=tuple(map(_piece, runs)),
        bars=tuple(bought),
        cuts=tuple(_cuts(profile, found, lengths, wanted, kerf)),
        bars_in_all=sum(count),
        cost=sum(costs, Decimal(0)) if len(costs) == len(bought) else None,
        aim="least cost" if priced else "fewest bars",
        lower_bound=found.bound / (PRICE_STEP if priced else 1),
        proven=found.proven,
        bars_counted_naively=sum(run.quantity for run in runs),
    )


def _kerf(profile: Profile, runs: Iterable[_Length]) -> int:
    if any("mitre" in run.ends for run in runs):
        return int(-(-profile.kerf * SLANTED[0] // SLANTED[1]))
    return int(profile.kerf)


def _piece(run: _Length) -> TrimPiece:
    return TrimPiece(
        name=run.name,
        length=run.length,
        quantity=run.quantity,
        ends=", ".join(run.ends),
        joined_from=run.joined_from,
    )


def _cuts(
    profile: Profile,
    found: BarSolution,
    lengths: Sequence[tuple[int, int]],
    wanted: Mapping[int, list[str]],
    kerf: int,
) -> Iterator[BarCut]:
    """Yield each bar as it is cut, with the names of its runs; equal bars stand together."""
    left = {length: list(names) for length, names in wanted.items()}
    bars: dict[tuple[int, int, tuple[str, ...]], int] = defaultdict(int)
    for cut in found.cut:
        length = profile.bars[cut.bar].length
        for _ in range(cut.times):
            names: list[str] = []
            rest = length
            for (size, _), many in zip(lengths, cut.counts, strict=True):
                names += [left[size].pop(0) for _ in range(many)]
                rest -= (size + kerf) * many
            bars[length, max(0, rest), tuple(names)] += 1
    for (length, rest, names_of_bar), times in bars.items():
        yield BarCut(bar=length, times=times, pieces=names_of_bar, rest=rest)
