"""How time grows: `python -m benchmarks.growth [--seconds 20] [--report] [--out FILE]`.

Invented pieces of a tile of 600 x 600 mm, sawn on every side, turned at will, kerf 2 mm. One thing
grows at a time: the number of pieces, the number of different sizes, or how often a piece goes
into the tile. Seconds are those that the process worked until the plan was proven, or until the
limit. What the results file holds is not measured again; `--report` writes the page.
"""

import argparse
import platform
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple, TypedDict

from benchmarks.results import RESULTS, read_lines, write_lines
from benchmarks.run import machine
from cutopt.documents import Request
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds
from cutopt.version import MADE_BY

OUT = RESULTS / "growth.jsonl"
SEEDS = (1, 2, 3)
TILE = 600
KERF = 2
#: What grows, and the steps in which it does.
STEPS: dict[str, tuple[float, ...]] = {
    "pieces": (10, 30, 100, 300, 1000, 3000),
    "sizes": (5, 10, 20, 50, 100, 200),
    "ratio": (1.5, 2, 2.5, 3, 4, 5, 6),
}
#: Sides of pieces lie within so much of the tile's side over the ratio.
SPREAD = (0.7, 1.3)


class Point(NamedTuple):
    """One instance: what grows, how far it has grown, and the seed."""

    series: str
    step: float
    seed: int


class Mix(NamedTuple):
    """So many pieces of so many sizes, a side of which goes so often into the tile's."""

    pieces: int = 300
    sizes: int = 20
    ratio: float = 2.0


class Row(TypedDict):
    """One instance, planned."""

    series: str
    step: float
    seed: int
    pieces: int
    sizes: int
    tiles: int
    bound: int
    proven: bool
    seconds: float
    allowed: float
    made_by: str
    machine: str


def points() -> Iterator[Point]:
    """Yield every instance."""
    for series, steps in STEPS.items():
        for step in steps:
            for seed in SEEDS:
                yield Point(series, step, seed)


def mix_of(point: Point) -> Mix:
    """Return what an instance is made of: all as usual but for what grows."""
    if point.series == "ratio":
        return Mix(ratio=point.step)
    if point.series == "sizes":
        return Mix(sizes=int(point.step))
    return Mix(pieces=int(point.step))


def request_of(point: Point) -> Request:
    """Return an instance; with the same seed more pieces are of the same sizes."""
    mix = mix_of(point)
    rng = random.Random(f"{point.seed} {mix.sizes} {mix.ratio:g}")
    sizes: list[tuple[int, int]] = []
    while len(sizes) < mix.sizes:
        size = _side(mix.ratio, rng), _side(mix.ratio, rng)
        if size not in sizes:
            sizes.append(size)
    every = sizes[: mix.pieces]
    drawn = Counter(every) + Counter(rng.choices(sizes, k=mix.pieces - len(every)))
    return Request.of(
        {
            "tiles": [{"id": "field", "width": TILE, "height": TILE, "turn": "quarter"}],
            "saw": {"kerf": KERF},
            "pieces": [
                {"id": f"p{number}", "width": width, "height": height, "quantity": quantity}
                for number, ((width, height), quantity) in enumerate(drawn.items(), start=1)
            ],
        }
    )


def _side(ratio: float, rng: random.Random) -> int:
    return min(TILE - KERF, round(TILE / ratio * rng.uniform(*SPREAD)))


def measure(point: Point, seconds: float) -> Row:
    """Plan one instance."""
    request = request_of(point)
    since = time.process_time()
    (total,) = plan(request, MaxProcessorSeconds(seconds)).totals
    worked = time.process_time() - since
    return Row(
        series=point.series,
        step=point.step,
        seed=point.seed,
        pieces=sum(piece.quantity for piece in request.pieces),
        sizes=len(request.pieces),
        tiles=total.tiles_needed,
        bound=total.lower_bound,
        proven=total.proven_minimal,
        seconds=round(worked, 4),
        allowed=seconds,
        made_by=f"{MADE_BY}, Python {platform.python_version()}",
        machine=machine(),
    )


def read(path: Path = OUT) -> list[Row]:
    """Return the stored rows."""
    return list(read_lines(path))


def measure_all(
    out: Path, seconds: float, measure_one: Callable[[Point, float], Row] = measure
) -> None:
    """Measure what the results file lacks, one instance to begin with that is not stored."""
    rows = read(out)
    known = {(row["series"], row["step"], row["seed"]) for row in rows}
    missing = [point for point in points() if point not in known]
    if missing:
        measure_one(missing[0], 1)  # so that nothing is loaded while seconds are counted
    for number, point in enumerate(missing, start=1):
        rows.append(measure_one(point, seconds))
        write_lines(out, rows)
        print(f"{number}/{len(missing)} {_told(rows[-1])}", file=sys.stderr)


def _told(row: Row) -> str:
    proof = "proven" if row["proven"] else f"bound {row['bound']}"
    point = f"{row['series']} {row['step']:g}, seed {row['seed']}"
    return f"{point}: {row['tiles']} tiles, {proof}, {row['seconds']:.2f} s"


def main(arguments: list[str] | None = None) -> None:
    """Measure, or write the page."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.growth", description=__doc__)
    parser.add_argument("--out", type=Path, default=OUT)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--report", action="store_true", help="write the page")
    asked = parser.parse_args(arguments)
    if asked.report:
        from benchmarks import report_growth  # noqa: PLC0415 - it loads the plots

        report_growth.write(read(asked.out))
    else:
        measure_all(asked.out, asked.seconds)


if __name__ == "__main__":
    main()
