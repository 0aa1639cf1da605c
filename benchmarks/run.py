"""Measure: `python -m benchmarks.run [--group rooms] [--seconds 20] [--quick] [--out FILE]`.

One instance after the other, each in a process of its own so that its peak memory is its own.
The time allowed is what this process itself works; both that and wall time are stored.
What the results file already holds is not measured again: a run can be stopped and goes on.
"""

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from importlib.metadata import version
from pathlib import Path
from typing import Any

from benchmarks.results import HERE, RESULTS, Row, instances, read, write

#: A child that takes so many times its seconds, and two minutes, has failed.
PATIENCE = 10


def main(arguments: list[str] | None = None) -> int:
    """Measure what is not measured yet; 1 when an instance failed."""
    asked = _parser().parse_args(arguments)
    if asked.one:
        print(json.dumps(measure(asked.one, asked.seconds, asked.quick)))
        return 0
    out = asked.out or RESULTS / f"{asked.group}.jsonl"
    measure_one = partial(in_child, quick=asked.quick)
    return 1 if measure_all(instances(asked.group), out, asked.seconds, measure_one) else 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.run", description=__doc__)
    parser.add_argument("--group", default="rooms", help="folder under benchmarks/instances")
    parser.add_argument("--seconds", type=float, default=20, help="time allowed for one instance")
    parser.add_argument(
        "--quick", action="store_true", help="leave out the general packer, which takes longest"
    )
    parser.add_argument("--out", type=Path, help="results file, one JSON object a line")
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    return parser


def measure_all(
    paths: list[Path],
    out: Path,
    seconds: float,
    measure_one: Callable[[Path, float], Row],
) -> list[str]:
    """Measure each instance that the results file lacks; return the names of those that failed."""
    rows, failed = read(out), []
    known = {row["name"] for row in rows}
    for number, path in enumerate(paths, start=1):
        if path.stem in known:
            continue
        try:
            rows.append(measure_one(path, seconds))
        except (subprocess.SubprocessError, ValueError) as problem:
            failed.append(path.stem)
            print(f"{path.stem} failed: {problem}", file=sys.stderr)
            continue
        write(out, rows)
        print(f"{number}/{len(paths)} {_told(rows[-1])}", file=sys.stderr)
    return failed


def _told(row: Row) -> str:
    proof = "proven" if row["proven"] else f"bound {row['bound']}"
    return f"{row['name']}: {row['tiles']} tiles, {proof}, {row['seconds']:.2f} s"


def in_child(path: Path, seconds: float, quick: bool = False) -> Row:
    """Return the row that a process of its own measures."""
    asked = ["--one", str(path), "--seconds", str(seconds), *(["--quick"] if quick else [])]
    row: Row = told_by("benchmarks.run", asked, seconds)
    return row


def told_by(module: str, arguments: list[str], seconds: float) -> Any:
    """Return the row that a benchmark called as a program prints, allowed so many seconds."""
    done = subprocess.run(
        [sys.executable, "-m", module, *arguments],
        stdout=subprocess.PIPE,
        cwd=HERE.parent,
        timeout=PATIENCE * seconds + 120,
        check=True,
    )
    return json.loads(done.stdout)


def measure(path: Path, seconds: float, quick: bool = False) -> Row:
    """Plan one instance, then count it by every baseline, or by the quick ones."""
    # Imported here, so that the process that only waits stays small.
    from benchmarks import baselines  # noqa: PLC0415
    from cutopt.documents import Request, is_full_tile  # noqa: PLC0415
    from cutopt.pipeline import plan  # noqa: PLC0415
    from cutopt.stop import MaxProcessorSeconds  # noqa: PLC0415

    request = Request.read(path.read_bytes())
    begun, since = time.perf_counter(), time.process_time()
    found = plan(request, stop=MaxProcessorSeconds(seconds))
    wall, worked, peak = time.perf_counter() - begun, time.process_time() - since, peak_mib()
    cut = [piece for piece in request.pieces if not is_full_tile(piece, request.tile_of(piece))]
    slow = {"general_packer"} if quick else set[str]()
    counts = {name: count for name, count in baselines.ALL.items() if name not in slow}
    return Row(
        name=path.stem,
        edges="factory" if any(piece.factory_edges for piece in cut) else "sawn",
        pieces=sum(piece.quantity for piece in request.pieces),
        cut_pieces=sum(piece.quantity for piece in cut),
        sizes=len({(piece.tile, piece.width, piece.height) for piece in cut}),
        baselines={name: sum(count(request).values()) for name, count in counts.items()},
        tiles=sum(total.tiles_needed for total in found.totals),
        bound=sum(total.lower_bound for total in found.totals),
        proven=all(total.proven_minimal for total in found.totals),
        stopped=found.stopped,
        seconds=round(wall, 3),
        processor_seconds=round(worked, 3),
        seconds_allowed=seconds,
        peak_mib=peak,
        made_by=f"{found.made_by}, Python {platform.python_version()}",
        packer=f"rectpack {version('rectpack')}",
        machine=machine(),
    )


def peak_mib() -> int:
    """Return the peak memory of this process so far."""
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit // 2**20


def machine() -> str:
    """Return what this was measured on."""
    cpu = Path("/proc/cpuinfo")
    lines = cpu.read_text(encoding="utf-8").splitlines() if cpu.exists() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    name = names[0] if names else platform.machine()
    return f"{name}, {os.cpu_count()} cores, {platform.system()}"


if __name__ == "__main__":
    sys.exit(main())
