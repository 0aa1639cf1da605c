"""Lengths from bars against the literature: all forty instances of tests/data.

`python -m benchmarks.bars` cuts instances of Falkenauer (1996, OR-Library: uniform lengths and
triplets) and writes docs/benchmarks/bars.md. Seconds are wall time on the machine that ran it.
"""

import json
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from benchmarks.results import HERE
from cutopt.solver import Bar, cut_bars
from cutopt.stop import MaxSeconds

DATA = HERE.parent / "tests" / "data" / "bars1d_falkenauer_first.json"
PAGE = HERE.parent / "docs" / "benchmarks" / "bars.md"
SECONDS = 60.0


@dataclass(frozen=True)
class Row:
    """One instance: lengths, the best number of bars known, what was found and proven."""

    name: str
    lengths: int
    known: int
    bars: int
    bound: int
    seconds: float


def measure() -> Iterator[Row]:
    """Yield every instance, cut."""
    for one in json.loads(DATA.read_text(encoding="utf-8"))["instances"]:
        started = time.perf_counter()
        found = cut_bars(
            [Bar(one["C"])], list(Counter(one["items"]).items()), 0, MaxSeconds(SECONDS)
        )
        took = time.perf_counter() - started
        yield Row(
            one["name"], len(one["items"]), one["best_in_file"], found.cost, found.bound, took
        )


def page_of(rows: Sequence[Row]) -> Iterator[str]:
    """Yield the lines of the page."""
    proven = sum(row.bars == row.bound for row in rows)
    better = [row.name for row in rows if row.bars < row.known]
    yield "# Lengths from bars: measured"
    yield ""
    yield "*Written by `python -m benchmarks.bars`; do not edit.*"
    yield ""
    slowest = max(row.seconds for row in rows)
    yield (
        f"Of {len(rows)} instances of Falkenauer (Journal of Heuristics 2, 1996; OR-Library) "
        f"{proven} are solved and proven; the slowest takes {slowest:.1f} s on 2 processor "
        "cores, other work beside it. *Known* is the best number in the library's file"
        + (f"; it is one too many in {', '.join(better)}." if better else ".")
    )
    yield ""
    yield "| instance | lengths | known | bars | at least | s |"
    yield "|---|---|---|---|---|---|"
    for row in rows:
        yield (
            f"| {row.name} | {row.lengths:,} | {row.known:,} | {row.bars:,} | {row.bound:,} | "
            f"{row.seconds:.2f} |"
        )


def main() -> None:
    """Cut every instance and write the page."""
    rows = list(measure())
    PAGE.write_text("\n".join(page_of(rows)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
