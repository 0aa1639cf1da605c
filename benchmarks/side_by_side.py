"""Four ways at equal time: `python -m benchmarks.side_by_side [--report] [--out FILE]`.

A greedy, a general packer of rectangles, one model of everything for CP-SAT, and cutopt: each on
the same 25 instances, in a process of its own, with the same seconds of the processor and one
worker.
What the results file holds is not measured again; `--report` writes the page from it.
"""

import argparse
import json
import platform
import sys
import time
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple, TypedDict

from benchmarks import published
from benchmarks.results import INSTANCES, RESULTS, read_lines, write_lines
from benchmarks.run import machine, peak_mib, told_by
from cutopt.documents import Request
from cutopt.version import MADE_BY

OUT = RESULTS / "side_by_side.jsonl"
SECONDS = (5.0, 20.0)
#: Rooms with one kind of tile, no offcuts and no factory edges: every way understands them.
ROOMS = (
    "rooms/bathroom-1200x600-sawn",
    "rooms/cloakroom-300x300-sawn",
    "rooms/column-450x450-sawn",
    "rooms/kitchen-1200x600-sawn",
    "rooms/shower-600x300-sawn",
    "rooms/splashback-150x75-sawn",
    "rooms/tub-600x300-sawn",
    "rooms/utility-600x300-sawn",
    "whole_rooms/en-suite-600x300-sawn",
    "whole_rooms/entrance-597x597-sawn",
)
#: The first of each published class, by its number of pieces; those of 60 may be turned.
BINS = tuple(
    f"bin2d/cl{number:02}_{pieces:03}_01-{turn}"
    for number in (1, 3, 5, 7, 9)
    for pieces, turn in ((20, "none"), (60, "quarter"), (100, "none"))
)
INSTANCES_ASKED = ROOMS + BINS


class Found(NamedTuple):
    """Tiles, and what every plan needs, None when that is not said."""

    tiles: int
    bound: int | None


class Row(TypedDict):
    """One way on one instance."""

    name: str
    way: str
    allowed: float
    pieces: int
    tiles: int
    bound: int | None
    seconds: float
    peak_mib: int
    made_by: str
    machine: str


def greedy(request: Request, seconds: float) -> Found:
    """Return what the largest-first greedy needs; it takes no time to speak of."""
    from benchmarks.baselines import largest_first  # noqa: PLC0415 - each way loads only its own

    del seconds
    return Found(sum(largest_first(request).values()), None)


def packer(request: Request, seconds: float) -> Found:
    """Return the best of the general packer's ways that it got round to."""
    from benchmarks.baselines import WAYS, packed_with  # noqa: PLC0415

    end, found = time.process_time() + seconds, list[int]()
    for way in WAYS:
        found.append(sum(packed_with(request, way).values()))
        if time.process_time() >= end:
            break
    return Found(min(found), None)


def monolith(request: Request, seconds: float) -> Found:
    """Return what one CP-SAT model finds and proves."""
    from benchmarks.monolith import solve  # noqa: PLC0415

    return Found(*solve(request, seconds))


def ours(request: Request, seconds: float) -> Found:
    """Return what cutopt finds and proves."""
    from cutopt.pipeline import plan  # noqa: PLC0415
    from cutopt.stop import MaxProcessorSeconds  # noqa: PLC0415

    (total,) = plan(request, MaxProcessorSeconds(seconds)).totals
    return Found(total.tiles_needed, total.lower_bound)


WAYS: dict[str, Callable[[Request, float], Found]] = {
    "largest first": greedy,
    "general packer": packer,
    "one CP-SAT model": monolith,
    "cutopt": ours,
}


def request_of(name: str) -> Request:
    """Return an instance by its name."""
    group, _, short = name.partition("/")
    if group != "bin2d":
        return Request.read((INSTANCES / f"{name}.json").read_bytes())
    text = (published.DATA / published.SETS["bin2d"]).read_text(encoding="utf-8")
    wanted, _, turn = short.partition("-")
    (one,) = (each for each in json.loads(text)["instances"] if each["name"] == wanted)
    return published.request_of(one, turn)


def measure(name: str, way: str, seconds: float) -> Row:
    """Measure one way on one instance, in this process."""
    request = request_of(name)
    since = time.process_time()
    found = WAYS[way](request, seconds)
    worked = time.process_time() - since
    return Row(
        name=name,
        way=way,
        allowed=seconds,
        pieces=sum(piece.quantity for piece in request.pieces),
        tiles=found.tiles,
        bound=found.bound,
        seconds=round(worked, 3),
        peak_mib=peak_mib(),
        made_by=_made_by(),
        machine=machine(),
    )


def _made_by() -> str:
    packages = (f"{package} {version(package)}" for package in ("rectpack", "ortools"))
    return ", ".join([MADE_BY, *packages, f"Python {platform.python_version()}"])


def read(path: Path = OUT) -> list[Row]:
    """Return the stored rows."""
    return list(read_lines(path))


def measure_all(out: Path, measure_one: Callable[[str, str, float], Row]) -> None:
    """Measure what the results file lacks."""
    rows = read(out)
    known = {(row["name"], row["way"], row["allowed"]) for row in rows}
    asked = [(name, way, s) for s in SECONDS for name in INSTANCES_ASKED for way in WAYS]
    for number, each in enumerate(asked, start=1):
        if each not in known:
            rows.append(measure_one(*each))
            write_lines(out, rows)
            print(f"{number}/{len(asked)} {_told(rows[-1])}", file=sys.stderr)


def _told(row: Row) -> str:
    tiles, bound = row["tiles"], row["bound"]
    return f"{row['name']}, {row['way']}: {tiles} tiles, bound {bound}, {row['seconds']:.2f} s"


def _in_child(name: str, way: str, seconds: float) -> Row:
    asked = ["--one", name, way, str(seconds)]
    row: Row = told_by("benchmarks.side_by_side", asked, seconds)
    return row


def main(arguments: list[str] | None = None) -> None:
    """Measure, or write the page."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.side_by_side", description=__doc__)
    parser.add_argument("--out", type=Path, default=OUT)
    parser.add_argument("--report", action="store_true", help="write the page")
    parser.add_argument("--one", nargs=3, help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.one:
        name, way, seconds = asked.one
        print(json.dumps(measure(name, way, float(seconds))))
    elif asked.report:
        from benchmarks import report_side_by_side  # noqa: PLC0415 - it loads the plots

        report_side_by_side.write(read(asked.out))
    else:
        measure_all(asked.out, _in_child)


if __name__ == "__main__":
    main()
