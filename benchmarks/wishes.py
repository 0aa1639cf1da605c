"""What second wishes bring: settings of the fence, waiting pieces and cuts over rooms, stored.

python -m benchmarks.wishes          every third room; benchmarks/results/wishes.json
"""

import json
import time
from collections.abc import Iterator
from pathlib import Path

from cutopt.documents import CutTile, Plan, Request
from cutopt.pipeline import plan
from cutopt.sequence import cut_order
from cutopt.stop import MaxSeconds
from cutopt.units import MM

ROOMS = Path(__file__).parent / "instances" / "rooms"
RESULTS = Path(__file__).parent / "results" / "wishes.json"
EVERY = 3
SECONDS = 120.0
WISHES: dict[str, list[str] | None] = {
    "as always": None,
    "fewer settings": ["fewer settings"],
    "less waiting": ["less waiting"],
    "fewer risky cuts": ["fewer risky cuts"],
    "fewer cuts, then settings": ["fewer cuts", "fewer settings"],
}


def narrow_cuts(made: Plan, kerf: int) -> int:
    """Return how many straight cuts leave less than 50 mm on either side."""
    return sum(one.count * sum(map(_is_narrow, _sides(one, kerf))) for one in made.cut_tiles)


def _is_narrow(sides: tuple[int, int]) -> bool:
    return min(sides) < 50 * MM


def _sides(tile: CutTile, kerf: int) -> Iterator[tuple[int, int]]:
    parts = {0: (0, 0, tile.width, tile.height)}
    for cut in tile.cuts or ():
        x, y, right, top = parts[cut.part]
        first, second = (x, y, right, top), (x, y, right, top)
        if cut.way == "vertical" and cut.at is not None:
            first, second = (x, y, cut.at, top), (cut.at + kerf, y, right, top)
            yield cut.at - x, right - cut.at - kerf
        elif cut.way == "horizontal" and cut.at is not None:
            first, second = (x, y, right, cut.at), (x, cut.at + kerf, right, top)
            yield cut.at - y, top - cut.at - kerf
        parts.update(
            (n, rect) for n, rect in zip(cut.makes, (first, second), strict=True) if n is not None
        )


def measured(room: Path, wishes: list[str] | None) -> dict[str, float]:
    """Return what a room takes when these wishes are followed."""
    wishing = Request.read(room.read_bytes()).model_copy(
        update={"prefer": None if wishes is None else tuple(wishes)}
    )
    start = time.perf_counter()
    made = plan(wishing, MaxSeconds(SECONDS))
    took = time.perf_counter() - start
    by_fence, as_laid = (cut_order(wishing, made, by).workload for by in ("fence", "surface"))
    return {
        "tiles": sum(total.tiles_needed for total in made.totals),
        "cuts": sum(total.cuts or 0 for total in made.totals),
        "settings": by_fence.settings,
        "narrow": narrow_cuts(made, wishing.saw.kerf),
        "waiting": as_laid.most_waiting,
        "followed": wishes is None or made.preferred is not None,
        "seconds": round(took, 2),
    }


def main() -> None:
    """Measure and store."""
    rooms = sorted(ROOMS.glob("*.json"))[::EVERY]
    rows = {
        name: {room.stem: measured(room, wishes) for room in rooms}
        for name, wishes in WISHES.items()
    }
    RESULTS.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
    for name, row in rows.items():
        keys = ("tiles", "cuts", "settings", "narrow", "waiting", "followed")
        print(name, {key: sum(one[key] for one in row.values()) for key in keys})


if __name__ == "__main__":
    main()
