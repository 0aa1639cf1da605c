"""Measure the take-off: `python -m benchmarks.takeoff_scale [--out FILE] [--most CELLS]`.

Halls of 3 : 2 with a column, from a thousand cells to a million (900,000 where slanted), each
taken off in a process of its own: seconds of `take_off` alone, the best of three up to 100,000
cells, and the peak memory of the process, Python and libraries included. What the results file
holds is not measured again.
"""

import argparse
import json
import math
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from statistics import fmean
from typing import Any, TypedDict

from benchmarks.results import HERE, RESULTS, write_lines
from benchmarks.run import machine, peak_mib

OUT = RESULTS / "takeoff.jsonl"
SIZES = (1_000, 3_000, 10_000, 30_000, 100_000, 300_000)
#: The largest hall: a job may look at two million cells, and a slanted bond looks at twice as
#: many as lie in the hall.
LARGEST = {"level": 1_000_000, "slanted": 900_000}
#: Name, bond, tile in mm, its joint in mm.
BONDS: dict[str, tuple[dict[str, Any], tuple[int, int], int]] = {
    "stack, level": ({"kind": "stack"}, (78, 78), 2),
    "stack at 45°": ({"kind": "stack", "angle": 45}, (78, 78), 2),
    "herringbone at 45°": ({"kind": "herringbone", "angle": 45}, (158, 38), 2),
}
#: Up to so many cells the best of three is taken.
REPEATED = 100_000


class Growth(TypedDict):
    """One hall, taken off."""

    bond: str
    wanted: int
    cells: int
    cut_pieces: int
    seconds: float
    peak_mib: int
    machine: str


def sizes_of(bond: str) -> tuple[int, ...]:
    """Return the sizes in which a hall of a bond is measured, in cells."""
    return (*SIZES, LARGEST["slanted" if "angle" in BONDS[bond][0] else "level"])


def hall(bond: str, cells: int) -> dict[str, Any]:
    """Return the job of a hall with about so many cells."""
    kind, (width, height), joint = BONDS[bond]
    area = cells * (width + joint) * (height + joint)
    long = round(math.sqrt(area * 1.5))
    side = round(long / 20)
    column = {"kind": "column", "x": long // 3, "y": long // 3, "width": side, "height": side}
    floor = {
        "id": "F",
        "kind": "floor",
        "width": long,
        "height": round(area / long),
        "joint": joint,
        "bond": kind,
        "obstacles": [column],
    }
    tile = {"id": "floor", "width": width, "height": height, "turn": "quarter"}
    return {
        "format": "cutopt.job/1",
        "tiles": [tile],
        "rooms": [{"name": "hall", "surfaces": [floor]}],
    }


def measure(bond: str, wanted: int) -> Growth:
    """Take a hall off, in this process."""
    from cutopt.documents import Job  # noqa: PLC0415 - so that the process that waits stays small
    from cutopt.layout import take_off  # noqa: PLC0415

    job = Job.of(hall(bond, wanted))
    times, laid = [], None
    for _ in range(3 if wanted <= REPEATED else 1):
        begun = time.perf_counter()
        (laid,) = take_off(job).surfaces
        times.append(time.perf_counter() - begun)
    assert laid is not None
    cut = sum(not piece.is_full for piece in laid.cut)
    return Growth(
        bond=bond,
        wanted=wanted,
        cells=laid.full_tiles + cut,
        cut_pieces=cut,
        seconds=round(min(times), 4),
        peak_mib=peak_mib(),
        machine=machine(),
    )


def exponent(points: Iterable[tuple[float, float]]) -> float:
    """Return p of the power law n ** p that fits points best, by least squares in logarithms."""
    logs = [(math.log(x), math.log(y)) for x, y in points]
    mx, my = fmean(x for x, _ in logs), fmean(y for _, y in logs)
    return sum((x - mx) * (y - my) for x, y in logs) / sum((x - mx) ** 2 for x, _ in logs)


def read_growth(path: Path) -> list[Growth]:
    """Return what was measured, nothing when the file is not there yet."""
    if not path.exists():
        return []
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def by_bond(rows: Sequence[Growth]) -> dict[str, list[Growth]]:
    """Return the halls of each bond, small ones first."""
    known = {
        bond: sorted((row for row in rows if row["bond"] == bond), key=lambda row: row["cells"])
        for bond in BONDS
    }
    return {bond: group for bond, group in known.items() if group}


def main(arguments: list[str] | None = None) -> int:
    """Measure every hall that the results file lacks."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.takeoff_scale", description=__doc__)
    parser.add_argument("--out", type=Path, default=OUT)
    parser.add_argument("--most", type=int, default=1_000_000, help="the largest hall, in cells")
    parser.add_argument("--one", nargs=2, help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.one:
        print(json.dumps(measure(asked.one[0], int(asked.one[1]))))
        return 0
    rows = read_growth(asked.out)
    known = {(row["bond"], row["wanted"]) for row in rows}
    for bond in BONDS:
        for wanted in (size for size in sizes_of(bond) if size <= asked.most):
            if (bond, wanted) not in known:
                rows.append(_in_child(bond, wanted))
                write_lines(asked.out, rows)
                print(_told(rows[-1]), file=sys.stderr)
    return 0


def _in_child(bond: str, wanted: int) -> Growth:
    command = [sys.executable, "-m", "benchmarks.takeoff_scale", "--one", bond, str(wanted)]
    done = subprocess.run(command, stdout=subprocess.PIPE, cwd=HERE.parent, timeout=600, check=True)
    row: Growth = json.loads(done.stdout)
    return row


def _told(row: Growth) -> str:
    return f"{row['bond']}: {row['cells']} cells, {row['seconds']:.3f} s, {row['peak_mib']} MiB"


if __name__ == "__main__":
    sys.exit(main())
