"""Large jobs: `python -m benchmarks.large`, with `--report` for the page.

50,000 pieces of 2,000 sizes, and 20,000 of 800, each job in a process of its own so that its peak
memory is its own. `hotel`: the cut pieces of floors and walls of which each begins where it likes,
strips and corners. `sawn`: sizes drawn evenly, none the fellow of another. Sizes come from a seed;
what is stored in `results/large.jsonl` is not measured again.
"""

import argparse
import json
import random
import resource
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from benchmarks.results import HERE, read_lines, write_lines
from cutopt.documents import Request
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds, Progress, Told, first_of
from cutopt.version import MADE_BY

RESULTS = HERE / "results" / "large.jsonl"
PAGE = HERE.parent / "docs" / "benchmarks" / "large.md"
WIDE, HIGH, JOINT = 600, 300, 3
Row = dict[str, Any]


def main(arguments: list[str] | None = None) -> None:
    """Measure what is not stored yet, or write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=50)
    parser.add_argument("--one", choices=sorted(JOBS))
    parser.add_argument("--report", action="store_true")
    options = parser.parse_args(arguments)
    if options.report:
        PAGE.write_text("\n".join(page_of(read_lines(RESULTS))) + "\n", encoding="utf-8")
    elif options.one:
        print(json.dumps(measure(options.one, options.seconds)))
    else:
        stored = {row["name"]: row for row in read_lines(RESULTS)}
        for name in sorted(set(JOBS) - set(stored)):
            command = [sys.executable, "-m", "benchmarks.large", "--one", name]
            ended = subprocess.run(
                [*command, "--seconds", str(options.seconds)],
                check=True,
                capture_output=True,
                text=True,
            )
            stored[name] = json.loads(ended.stdout)
            write_lines(RESULTS, stored.values())


def hotel(rng: random.Random, sizes: int) -> Counter[tuple[int, int]]:
    """Return the cut pieces of surfaces whose grids begin anywhere: strips, and their corners."""
    found: Counter[tuple[int, int]] = Counter()
    while len(found) < sizes:
        across, up, alike = rng.randint(3, 7), rng.randint(4, 9), rng.randint(1, 3)
        left, right = rng.randint(100, WIDE - 1), rng.randint(100, WIDE - 1)
        low, top = rng.randint(60, HIGH - 1), rng.randint(60, HIGH - 1)
        for width in (left, right):
            found[width, HIGH] += up * alike
            for height in (low, top):
                found[width, height] += alike
        for height in (low, top):
            found[WIDE, height] += across * alike
    return found


def sawn(rng: random.Random, sizes: int) -> Counter[tuple[int, int]]:
    """Return sizes drawn evenly, as many of each."""
    found: Counter[tuple[int, int]] = Counter()
    while len(found) < sizes:
        found[rng.randint(60, WIDE), rng.randint(60, HIGH)] = 1
    return found


Draw = Callable[[random.Random, int], Counter[tuple[int, int]]]
#: How sizes are drawn, how many, and pieces in all.
JOBS: dict[str, tuple[Draw, int, int]] = {
    "hotel": (hotel, 2_000, 50_000),
    "sawn": (sawn, 2_000, 50_000),
    "sawn, fewer": (sawn, 800, 20_000),
}


def request_of(name: str) -> Request:
    """Return a job as a request, its counts brought to so many pieces in all."""
    draw, many, pieces = JOBS[name]
    sizes = draw(random.Random(5), many)
    share = pieces / sum(sizes.values())
    return Request.of(
        {
            "tiles": [{"id": "tile", "width": WIDE, "height": HIGH, "turn": "half"}],
            "saw": {"kerf": 2},
            "pieces": [
                {"id": f"p{at}", "width": w, "height": h, "quantity": max(1, round(share * count))}
                for at, ((w, h), count) in enumerate(sizes.items(), start=1)
            ],
        }
    )


def measure(name: str, seconds: float) -> Row:
    """Plan one job; `plan` raises when the independent check refuses the plan."""
    request = request_of(name)
    since, first = time.process_time(), list[float]()

    def heard(progress: Progress) -> None:
        if progress.tiles is not None and not first:
            first.append(time.process_time() - since)

    (total,) = plan(request, first_of(MaxProcessorSeconds(seconds), Told(heard))).totals
    return {
        "name": name,
        "pieces": sum(piece.quantity for piece in request.pieces),
        "sizes": len(request.pieces),
        "tiles": total.tiles_needed,
        "bound": total.lower_bound,
        "first_plan_seconds": round(first[0], 1),
        "seconds": round(time.process_time() - since, 1),
        "allowed": seconds,
        "peak_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "made_by": MADE_BY,
    }


def page_of(rows: Iterable[Row]) -> Iterator[str]:
    """Yield the lines of the page."""
    rows = list(rows)
    yield "# Large jobs"
    yield ""
    yield "*Written by `python -m benchmarks.large --report`; do not edit.*"
    yield ""
    yield (
        f"Tiles {WIDE} x {HIGH} mm, half turns, kerf 2 mm. `hotel`: strips and corners of floors "
        "and walls of which each begins where it likes. `sawn`: sizes drawn evenly, none the "
        "fellow of another. Both are invented, from a seed. Seconds are processor seconds, the "
        f"search {max((row['allowed'] for row in rows), default=0):.0f} at most, the replay by the "
        "independent check and all else included; memory is that of the whole process."
    )
    yield ""
    yield "| job | pieces | sizes | tiles | bound | gap | first plan after | seconds | MiB |"
    yield "|---|---:|---:|---:|---:|---:|---:|---:|---:|"
    for row in sorted(rows, key=lambda row: row["name"]):
        gap = (row["tiles"] - row["bound"]) / row["bound"]
        yield (
            f"| {row['name']} | {row['pieces']:,} | {row['sizes']:,} | {row['tiles']:,} | "
            f"{row['bound']:,} | {100 * gap:.2f} % | {row['first_plan_seconds']:.1f} | "
            f"{row['seconds']:.0f} | {row['peak_mib']:,} |"
        )


if __name__ == "__main__":
    main()
