"""How good the reserve is: jobs worked with breakage drawn by other code, beside fixed percentages.

`python -m benchmarks.reserve` works each room of `instances/rooms` 33 times, and
writes results/reserve.json, docs/benchmarks/reserve.md and docs/benchmarks/reserve.svg.
"""

import argparse
import json
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, TypedDict

from benchmarks.breakage import Thrift, spares_taken, trade_of
from benchmarks.plots import bars
from benchmarks.results import HERE, RESULTS, instances
from cutopt.buying import make_order
from cutopt.documents import Request
from cutopt.documents.buying import OrderSettings
from cutopt.layout import TakeOff
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds

PAGE = HERE.parent / "docs" / "benchmarks" / "reserve.md"
PLOT = PAGE.with_suffix(".svg")
JOBS_OF_A_ROOM = 33
LEVELS = (0.90, 0.95, 0.99)
THRIFTS: tuple[Thrift, ...] = ("once", "on and on")
PERCENTAGES = (5, 10, 15, 20)
#: Standard deviations of a one-sided test at 5 %.
ONE_SIDED = 1.645


class Tile(TypedDict):
    """One tile of one room: what the plan needs, the reserves, and what the jobs took."""

    room: str
    tile: str
    needed: int
    by_area: int
    spares: dict[str, int]
    taken: dict[str, list[int]]


def measure(file: Path, number: int, seconds: float) -> Iterator[Tile]:
    """Yield what the jobs of a room took of each of its tiles."""
    request = Request.read(file.read_bytes())
    made = plan(request, MaxSeconds(seconds))
    reserves: dict[str, dict[str, int]] = {}
    for level in LEVELS:
        own = request.model_copy(update={"order": OrderSettings(service_level=level)})
        order = make_order(TakeOff(own, (), ()), made)
        for tile in order.tiles:
            reserves.setdefault(tile.tile, {})[f"{level:g}"] = tile.reserve.spares
    for at, tile in enumerate(order.tiles):
        of = next(one for one in request.tiles if one.id == tile.tile)
        trade = trade_of(request, made, of, OrderSettings())
        yield Tile(
            room=file.stem,
            tile=tile.tile,
            needed=tile.tiles_needed,
            by_area=tile.by_area,
            spares=reserves[tile.tile],
            taken={
                thrift: [
                    spares_taken(trade, (7, number, at, job), thrift)
                    for job in range(JOBS_OF_A_ROOM)
                ]
                for thrift in THRIFTS
            },
        )


class Tally(TypedDict):
    """A rule for ordering over all jobs: how many ran short, tiles over, tiles ordered."""

    short: int
    jobs: int
    over: int
    ordered: int


def tally(rows: Sequence[Tile], thrift: str, ordered: Any) -> Tally:
    """Return how a rule does: it says for a tile of a room how many are ordered.

    A job runs short when any of its tiles does; what is over is counted for the others.
    """
    short: Counter[tuple[str, int]] = Counter()
    over = many = 0
    for row in rows:
        had = ordered(row)
        many += had * JOBS_OF_A_ROOM
        for job, taken in enumerate(row["taken"][thrift]):
            rest = had - row["needed"] - taken
            over += max(0, rest)
            short[row["room"], job] += rest < 0
    jobs = len({row["room"] for row in rows}) * JOBS_OF_A_ROOM
    return Tally(short=sum(map(bool, short.values())), jobs=jobs, over=over, ordered=many)


def by_reserve(level: float, fewer: int = 0) -> Any:
    """Return the rule of the reserve at a level, with so many spare tiles fewer."""
    return lambda row: row["needed"] + max(0, row["spares"][f"{level:g}"] - fewer)


def by_percentage(percent: int) -> Any:
    """Return the rule of the tiles of the area and a percentage."""
    return lambda row: math.ceil(round(row["by_area"] * (1 + percent / 100), 9))


def error_of(share: float, jobs: int) -> float:
    """Return the standard deviation of a share."""
    return math.sqrt(share * (1 - share) / jobs)


def page_of(rows: Sequence[Tile]) -> Iterator[str]:
    """Yield the lines of the page."""
    jobs = len({row["room"] for row in rows}) * JOBS_OF_A_ROOM
    yield "# The reserve: measured"
    yield ""
    yield "*Written by `python -m benchmarks.reserve`; do not edit.*"
    yield ""
    yield from _verdict(rows, jobs)
    yield ""
    yield "![Jobs that run short and tiles left over, by rule](reserve.svg)"
    yield ""
    yield (
        f"{jobs:,} jobs: {jobs // JOBS_OF_A_ROOM} rooms of the benchmark, each worked "
        f"{JOBS_OF_A_ROOM} times with the usual chances of breaking and of faults. Breakage is "
        "drawn cut by cut by `benchmarks/breakage.py`, which shares no code with the reserve: "
        "nobody knows beforehand what will break, and a broken piece takes the tightest place on "
        "the shelf. *Once*: a leftover serves one piece and a spare tile two, as the reserve "
        "reckons. *On and on*: every rest is used again, as a thrifty hand would. A room with two "
        "tiles runs short when either does, so that its chance of running short is larger than "
        "that of a tile; boxes and tiles to keep are left out."
    )
    yield ""
    yield (
        "The percentages order the tiles of the area (rounded up) and so much more. They know "
        "nothing of cuts: small tiles get too many, large ones too few. The area is that of the "
        "pieces; with their joints it would be 1 to 3 % larger, so that +10 % here is little more "
        "than +8 % of a measured wall."
    )
    for thrift in THRIFTS:
        yield ""
        yield f"## A rest serves {thrift}"
        yield ""
        yield "| rule | ran short | share | standard error | tiles over, a job | tiles ordered |"
        yield "|---|---|---|---|---|---|"
        for name, rule in rules():
            found = tally(rows, thrift, rule)
            share = found["short"] / jobs
            yield (
                f"| {name} | {found['short']:,} of {jobs:,} | {share:.1%} | "
                f"{error_of(share, jobs):.1%} | {found['over'] / jobs:.2f} | {found['ordered']:,} |"
            )


def rules() -> Iterator[tuple[str, Any]]:
    """Yield every rule with its name."""
    for level in LEVELS:
        yield f"reserve, {level:.0%}", by_reserve(level)
        yield f"reserve, {level:.0%}, one spare fewer", by_reserve(level, 1)
    for percent in PERCENTAGES:
        yield f"area + {percent} %", by_percentage(percent)


def single(rows: Sequence[Tile]) -> list[Tile]:
    """Return the rooms with one tile, where the level of a tile is that of the job."""
    tiles = Counter(row["room"] for row in rows)
    return [row for row in rows if tiles[row["room"]] == 1]


def _verdict(rows: Sequence[Tile], jobs: int) -> Iterator[str]:
    alone = single(rows)
    for level in LEVELS:
        found = tally(alone, "once", by_reserve(level))
        fewer = tally(alone, "once", by_reserve(level, 1))
        share, less = found["short"] / found["jobs"], fewer["short"] / found["jobs"]
        most = 1 - level + ONE_SIDED * error_of(1 - level, found["jobs"])
        holds = "not above" if share <= most else "above"
        yield (
            f"- Rooms with one tile ({found['jobs']:,} jobs), asked {1 - level:.0%}: "
            f"{share:.1%} run short, {holds} that beyond the statistical error; "
            f"{less:.1%} with one spare fewer."
        )
    ten, fifteen = (tally(rows, "once", by_percentage(one)) for one in (10, 15))
    own = tally(rows, "once", by_reserve(0.95))
    yield (
        f"- All rooms: +10 % is short in {ten['short'] / jobs:.0%} of jobs and leaves "
        f"{ten['over'] / jobs:.1f} tiles over, +15 % in {fifteen['short'] / jobs:.0%} and "
        f"{fifteen['over'] / jobs:.1f}; the reserve at 95 % in {own['short'] / jobs:.1%} and "
        f"{own['over'] / jobs:.1f}."
    )


def draw(rows: Sequence[Tile], path: Path) -> None:
    """Draw the shares of jobs that run short, and the tiles left over, by rule."""
    names = [name for name, _ in rules() if "fewer" not in name]
    found = [tally(rows, "once", rule) for name, rule in rules() if "fewer" not in name]
    bars(
        names,
        {
            "jobs that run short, %": [100 * one["short"] / one["jobs"] for one in found],
            "tiles left over, a job": [one["over"] / one["jobs"] for one in found],
        },
        path,
    )


def main(arguments: list[str] | None = None) -> None:
    """Measure, or write the page anew from the stored results."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0, help="for each plan")
    parser.add_argument("--page", action="store_true", help="only write the page")
    options = parser.parse_args(arguments)
    stored = RESULTS / "reserve.json"
    if not options.page:
        files = instances("rooms")
        found = [
            row
            for number, file in enumerate(files)
            for row in measure(file, number, options.seconds)
        ]
        lines = ",\n".join(json.dumps(row) for row in found)
        stored.write_text(f"[\n{lines}\n]\n", encoding="utf-8")
    rows: list[Tile] = json.loads(stored.read_text(encoding="utf-8"))
    PAGE.write_text("\n".join(page_of(rows)) + "\n", encoding="utf-8")
    draw(rows, PLOT)


if __name__ == "__main__":
    main()
