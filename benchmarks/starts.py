"""Measure setting out: `python -m benchmarks.starts [grid|rooms|alcove|free] [--out FILE]`.

`grid`: small walls against every start of a 1 mm grid. `rooms`: the rooms of the benchmark against
common ways to begin. `alcove`: the shower of the examples against a 10 x 10 grid of starts.
`free`: the same shower with course lines of its own on each wall, six directions. One line of
`results/starts.jsonl` each; what a line of that name holds is not measured again.
"""

import argparse
import json
import random
import time
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from benchmarks import rooms
from benchmarks.make_instances import ORDERS, Order, Tiling
from benchmarks.setting_out import Surface
from benchmarks.small_walls import FLOOR, ODD, SHARP, best_of_grid, searched, small_wall
from cutopt.documents import Job
from cutopt.setting_out import find
from cutopt.setting_out.count import Counts
from cutopt.setting_out.measures import measures_at
from cutopt.setting_out.search import Search
from cutopt.stop import MaxProcessorSeconds, MaxSeconds
from cutopt.units import MM

HERE = Path(__file__).parent
RESULTS = HERE / "results" / "starts.jsonl"
ALCOVE = HERE.parent / "docs" / "examples" / "shower-alcove.json"
SMALL_WALLS, ODD_WALLS = 36, 24
#: Of the processor, so that what else runs on the machine changes nothing.
SECONDS = 12.0
SEED = 7
#: Rooms whose walls meet, from left to right.
ROUND = (rooms.shower_alcove, rooms.tub_surround, rooms.cloakroom, rooms.bathroom_walls)
BONDS: dict[str, dict[str, Any]] = {
    "stack": {"kind": "stack"},
    "half": {"kind": "running"},
    "third": {"kind": "running", "offset": "1/3"},
}
Json = dict[str, Any]


def main() -> None:
    """Measure what is not in the results yet."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("groups", nargs="*", default=["grid", "alcove", "free", "rooms"])
    parser.add_argument("--out", type=Path, default=RESULTS)
    options = parser.parse_args()
    known = set()
    if options.out.exists():
        known = {json.loads(line)["name"] for line in options.out.read_text().splitlines()}
    for group in options.groups:
        for name, measure in GROUPS[group]():
            if name not in known:
                line = {"group": group, "name": name, **measure()}
                with options.out.open("a") as file:
                    file.write(json.dumps(line) + "\n")
                print(line, flush=True)


def small_walls() -> Iterator[tuple[str, Callable[[], Json]]]:
    """Yield the small walls."""
    for seed in (*range(SMALL_WALLS), *range(ODD, ODD + ODD_WALLS), *SHARP):
        yield f"wall-{seed}", lambda seed=seed: against_grid(seed)  # type: ignore[misc]


def against_grid(seed: int) -> Json:
    """Return the search and the 1 mm grid, side by side."""
    begun = time.process_time()
    search, space = searched(Job.of(small_wall(seed)), 60)
    seconds = time.process_time() - begun
    share = search.options.eased.get("/rooms/0/surfaces/0", FLOOR)
    tiles, _ = best_of_grid(space, share)
    assert search.best is not None
    return {
        "tiles": search.best.tiles,
        "bound": search.bound,
        "grid": tiles,
        "free": len(space.variables),
        "starts": _product(variable.period // MM for variable in space.variables),
        "boxes": search.boxes,
        "seconds": round(seconds, 2),
        "grid_seconds": round(time.process_time() - begun - seconds, 2),
    }


def _product(numbers: Iterator[int]) -> int:
    found = 1
    for number in numbers:
        found *= number
    return found


def all_rooms() -> Iterator[tuple[str, Callable[[], Json]]]:
    """Yield the rooms of the benchmark."""
    for number, order in enumerate(ORDERS):
        job = job_of(order, number)
        yield order.name, lambda job=job: against_customs(job)  # type: ignore[misc]


def against_customs(job: Job, seconds: float = SECONDS) -> Json:
    """Return the best start and the common ways to begin, side by side."""
    begun = time.process_time(), time.monotonic()
    found = find(job, MaxProcessorSeconds(seconds))
    best = found.chosen[0]
    return {
        "tiles": found.best.tiles,
        "bound": found.bound,
        "stopped": found.stopped,
        "smallest": _mm(best.measures.smallest),
        "share": round(float(best.measures.share), 3),
        "eased": sorted(float(share) for share in found.options.eased.values()),
        "customs": {
            name: [start.tiles, _mm(measures.smallest), keeps]
            for name, start, measures, keeps in found.customs
        },
        "boxes": found.boxes,
        "cpu_seconds": round(time.process_time() - begun[0], 2),
        "seconds": round(time.monotonic() - begun[1], 2),
    }


def _mm(length: int | None) -> float | None:
    return None if length is None else round(length / MM, 1)


def alcove() -> Iterator[tuple[str, Callable[[], Json]]]:
    """Yield the shower of the examples."""
    yield "shower-alcove", against_ten_by_ten


def against_ten_by_ten() -> Json:
    """Return the search, step by step, and a 10 x 10 grid of starts."""
    job = Job.read(ALCOVE.read_bytes())
    line = against_customs(job, 120)
    found = find(job, MaxProcessorSeconds(120))
    line["first_seconds"] = round(found.first_after, 2)
    line["first_cpu_seconds"] = round(found.first_processor, 2)
    line["proof_cpu_seconds"], line["proof_seconds"] = _proof(job)
    begun = time.process_time(), time.monotonic()
    search = Search(found.options, Counts(job, MaxSeconds(600)), MaxSeconds(600))
    listed = {place: found.options.of(place) for place in found.options.sights.places}
    tiles, kept = [], []
    for i in range(10):
        for j in range(10):
            values = tuple(v.period * (j if v.axis else i) // 10 for v in found.space.variables)
            start = search.count(values)
            tiles.append(start.tiles)
            if search.allows(listed, values):
                kept.append((start.tiles, float(measures_at(found.options, values).share)))
    return line | {
        "grid_fewest": min(tiles),
        "grid_most": max(tiles),
        "grid_within_rules": len(kept),
        "grid_fewest_within_rules": min(kept, default=(None, None))[0],
        "grid_cpu_seconds": round(time.process_time() - begun[0], 2),
        "grid_seconds": round(time.monotonic() - begun[1], 2),
    }


def free_alcove() -> Iterator[tuple[str, Callable[[], Json]]]:
    """Yield the shower with every wall free in both directions."""
    yield "shower-alcove-free", proof_of_free


def proof_of_free() -> Json:
    """Return how long the proof takes when the walls share no course lines.

    By the clock: asking for the processor's time at every step would take longer than some steps.
    """
    data = json.loads(ALCOVE.read_text(encoding="utf-8"))
    data["setting_out"][0]["courses"] = "own"
    job = Job.of(data)
    begun = time.process_time(), time.monotonic()
    search, space = searched(job, 300)
    assert search.best is not None
    line = {
        "tiles": search.best.tiles,
        "bound": search.bound,
        "free": len(space.variables),
        "boxes": search.boxes,
        "proof_cpu_seconds": round(time.process_time() - begun[0], 2),
        "proof_seconds": round(time.monotonic() - begun[1], 2),
    }
    found = find(job, MaxSeconds(20))
    return line | {
        "first_cpu_seconds": round(found.first_processor, 2),
        "first_seconds": round(found.first_after, 2),
    }


def _proof(job: Job) -> tuple[float, float]:
    """Return the seconds until the best start is proven, proposals left out."""
    begun = time.process_time(), time.monotonic()
    search, _ = searched(job, 120)
    assert search.best is not None
    assert search.bound == search.best.tiles
    return round(time.process_time() - begun[0], 2), round(time.monotonic() - begun[1], 2)


def job_of(order: Order, number: int) -> Job:
    """Return a room of the benchmark as a measured job."""
    rng = random.Random(SEED * 1000 + number)
    surfaces: list[Json] = []
    corners: list[Json] = []
    for tiling in order.tilings:
        marks = []
        for surface in tiling.room(rng):
            mark = "ABCDEFGHIJ"[len(surfaces)]
            surfaces.append(_surface(mark, surface, tiling, order))
            marks.append(mark)
        if tiling.room in ROUND:
            corners += [{"left": a, "right": b} for a, b in pairwise(marks)]
    tiles = {
        tiling.tile: {
            "id": tiling.tile,
            "width": _length(tiling.width, order),
            "height": _length(tiling.height, order),
            "turn": tiling.turn,
        }
        for tiling in order.tilings
    }
    data = {
        "format": "cutopt.job/1",
        "units": order.units,
        "tiles": list(tiles.values()),
        "saw": {"kerf": order.kerf},
        "rooms": [{"name": order.name, "surfaces": surfaces, "corners": corners}],
    }
    return Job.of(data)


def _surface(mark: str, surface: Surface, tiling: Tiling, order: Order) -> Json:
    width, height = _steps((surface.width, surface.height), order)
    return {
        "id": mark,
        "kind": "floor" if "floor" in surface.name else "wall",
        "width": _length(width, order),
        "height": _length(height, order),
        "joint": _length(tiling.joint, order),
        "tile": tiling.tile,
        "bond": BONDS[tiling.bond],
        "obstacles": [
            {"kind": "other", **_named(("x", "y", "width", "height"), box, order)}
            for box in _apart(surface, order, (width, height))
        ],
        "holes": [
            {"kind": "pipe", **_named(("x", "y", "diameter"), _steps(hole, order), order)}
            for hole in surface.holes
        ],
    }


def _apart(surface: Surface, order: Order, size: tuple[int, int]) -> list[tuple[int, ...]]:
    """Return what takes no tile, cut off at the edges and at what was named before."""
    found: list[tuple[int, ...]] = []
    for box in surface.openings:
        x, y, right, top = _steps((box.x, box.y, box.right, box.top), order)
        right, top = min(right, size[0]), min(top, size[1])
        for other in found:
            if y < other[1] + other[3] and other[1] < top and x < other[0] < right:
                right = other[0]
        found.append((x, y, right - x, top - y))
    return found


def _steps(lengths: Iterable[int], order: Order) -> list[int]:
    """Return millimetres as steps of an order."""
    scale = 1.5875 if order.units == "in" else 1.0
    return [round(length / scale) for length in lengths]


def _named(names: Iterable[str], lengths: Iterable[int], order: Order) -> Json:
    return {name: _length(length, order) for name, length in zip(names, lengths, strict=True)}


def _length(steps: float, order: Order) -> Any:
    return steps if order.units == "mm" else f"{int(steps)}/16 in"


GROUPS: dict[str, Callable[[], Iterator[tuple[str, Callable[[], Json]]]]] = {
    "grid": small_walls,
    "rooms": all_rooms,
    "alcove": alcove,
    "free": free_alcove,
}

if __name__ == "__main__":
    main()
