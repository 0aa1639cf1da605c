"""Write the whole rooms of the benchmark: `python -m benchmarks.make_whole_rooms`.

Run once; what it wrote is stored under `instances/whole_rooms`: each room as a measured job
(`jobs/NAME.json`) and as the two requests that cutopt's own take-off makes of it: `-factory`,
with the factory edges that the take-off asks for, and `-sawn`, where every side may be sawn.
The same seed gives the same jobs, byte for byte.
"""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from benchmarks.make_instances import text_of
from benchmarks.whole_rooms import ROOMS, Room
from cutopt.documents import Job
from cutopt.layout import take_off

SEED = 5
FOLDER = Path(__file__).parent / "instances" / "whole_rooms"
JOBS = "jobs"
#: So many finishes are drawn for each room.
FINISHES_OF_A_ROOM = 6
EDGES = ("factory", "sawn")

Json = dict[str, Any]


class Tiling(NamedTuple):
    """A tile in mm, how far it may be turned, how it is laid."""

    width: int
    height: int
    turn: str
    offset: str | None = None
    joint: int = 2

    @property
    def bond(self) -> Json:
        """Return the bond: joints that run through, or each course shifted by a share."""
        return {"kind": "running", "offset": self.offset} if self.offset else {"kind": "stack"}


class Finish(NamedTuple):
    """What a room is tiled with: one tile everywhere, or another on the floor."""

    walls: Tiling
    floor: Tiling | None = None
    kerf: float = 2
    shelf: int = 0

    @property
    def name(self) -> str:
        """Return its part of a file's name."""
        tilings = [self.walls, *([self.floor] if self.floor else [])]
        return "-".join(f"{tiling.width}x{tiling.height}" for tiling in tilings)


FINISHES = (
    Finish(Tiling(98, 98, "quarter"), Tiling(298, 298, "quarter", joint=3)),
    Finish(Tiling(148, 148, "quarter", "1/2")),
    Finish(Tiling(200, 200, "half"), kerf=1.6, shelf=3),
    Finish(Tiling(150, 75, "half", "1/2"), Tiling(200, 200, "quarter", joint=3)),
    Finish(Tiling(300, 100, "half", "1/3"), Tiling(448, 448, "half", joint=3), shelf=2),
    Finish(Tiling(198, 398, "none"), Tiling(297, 297, "quarter", joint=3)),
    Finish(Tiling(250, 400, "half", joint=3), Tiling(330, 330, "quarter", joint=3), kerf=3),
    Finish(Tiling(300, 300, "quarter"), kerf=0),
    Finish(Tiling(297, 597, "half", joint=3), Tiling(597, 597, "quarter", "1/2", 3)),
    Finish(Tiling(600, 300, "half", "1/2", 3)),
    Finish(Tiling(598, 298, "quarter", "1/3", 3), kerf=1.5, shelf=4),
    Finish(Tiling(450, 450, "none", joint=3)),
    Finish(Tiling(597, 597, "quarter", joint=3)),
    Finish(Tiling(400, 250, "half", "1/2"), Tiling(600, 300, "half", "1/3", 3)),
    Finish(Tiling(1197, 597, "quarter", joint=3), kerf=3),
    Finish(Tiling(600, 200, "half", "1/3"), Tiling(900, 300, "half", "1/3", 3), shelf=1),
)


class Order(NamedTuple):
    """One room and its finish."""

    room: Room
    finish: Finish

    @property
    def name(self) -> str:
        """Return the name of its job; the requests append which edges they ask for."""
        return f"{self.room.__name__.replace('_', '-')}-{self.finish.name}"


def orders() -> list[Order]:
    """Return every room with the finishes that are drawn for it."""
    rng = random.Random(SEED)
    return [
        Order(room, finish) for room in ROOMS for finish in rng.sample(FINISHES, FINISHES_OF_A_ROOM)
    ]


def job_of(order: Order) -> Json:
    """Return the job of a room; courses run round its walls at one height."""
    rng = random.Random(f"{SEED} {order.name}")
    tilings = {"wall": order.finish.walls, "floor": order.finish.floor or order.finish.walls}
    first = {
        kind: rng.randrange(tiling.height // 3, tiling.height) for kind, tiling in tilings.items()
    }
    surfaces = []
    for number, surface in enumerate(order.room(rng)):
        kind = surface["kind"]
        tiling = tilings[kind]
        laid = {
            "joint": tiling.joint,
            "bond": tiling.bond,
            "start": _start(surface, tiling, first[kind]),
        }
        mark = "F" if kind == "floor" else "ABCDE"[number]
        surfaces.append({"id": mark, **surface, "tile": _tile(order, kind), **laid})
    return {
        "format": "cutopt.job/1",
        "title": f"Haus Lindenhof 7: {order.name}",
        "tiles": list(_tiles(order)),
        "saw": {"kerf": order.finish.kerf},
        "rooms": [{"name": order.room.__name__.replace("_", " "), "surfaces": surfaces}],
        "offcuts": [_offcut(order, number, rng) for number in range(order.finish.shelf)],
    }


def _start(surface: Json, tiling: Tiling, first: int) -> Json:
    """Return the start that is the same from left and right and leaves the broader end tile.

    Either a tile or a joint is in the middle; the lowest course is `first` high.
    """
    width = surface.get("width") or max(x for x, _ in surface["outline"])
    pitch = tiling.width + tiling.joint
    with_joint = (width + tiling.joint) // 2 % pitch
    with_tile = (width + tiling.joint + pitch) // 2 % pitch
    return {"x": max(with_joint, with_tile), "y": first + tiling.joint}


def _tile(order: Order, kind: str) -> str:
    return kind if order.finish.floor else "tile"


def _tiles(order: Order) -> Iterator[Json]:
    for kind, tiling in (("wall", order.finish.walls), ("floor", order.finish.floor)):
        if tiling:
            size = {"width": tiling.width, "height": tiling.height, "turn": tiling.turn}
            yield {"id": _tile(order, kind), **size}


def _offcut(order: Order, number: int, rng: random.Random) -> Json:
    """Return what one straight cut left of a wall tile, or two."""
    tiling = order.finish.walls
    width = tiling.width * rng.randrange(30, 90) // 100
    height = tiling.height if number % 2 else tiling.height * rng.randrange(40, 90) // 100
    edges = ["left", "top", "bottom"] if number % 2 else ["left", "bottom"]
    place = {"id": f"shelf-{number + 1}", "tile": _tile(order, "wall")}
    return {**place, "width": width, "height": height, "factory_edges": edges}


def requests(job: Json) -> Iterator[tuple[str, Json]]:
    """Yield the two requests of a job, under the edges that they ask for."""
    found = take_off(Job.of(job)).request.model_dump(mode="json", exclude_none=True)
    pieces = [_short(piece) for piece in found["pieces"]]
    for edges in EDGES:
        title = f"{job['title']}, {edges} edges at the joints"
        if edges == "sawn":
            pieces = [_short(piece | {"factory_edges": []}) for piece in pieces]
        yield edges, {"format": found["format"], "title": title, **found, "pieces": pieces}


def _short(piece: Json) -> Json:
    """Return a piece without what a request need not say."""
    usual = {"quantity": 1, "factory_edges": [], "holes": []}
    return {name: value for name, value in piece.items() if usual.get(name) != value}


def main() -> None:
    """Write every room."""
    (FOLDER / JOBS).mkdir(parents=True, exist_ok=True)
    for order in orders():
        job = job_of(order)
        (FOLDER / JOBS / f"{order.name}.json").write_text(text_of(job), encoding="utf-8")
        for edges, request in requests(job):
            path = FOLDER / f"{order.name}-{edges}.json"
            path.write_text(text_of(request), encoding="utf-8")


if __name__ == "__main__":
    main()
