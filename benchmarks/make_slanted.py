"""Write the slanted floors of the benchmark: `python -m benchmarks.make_slanted`.

Run once; what it wrote is stored under `instances/slanted`: each floor as a measured job
(`jobs/NAME.json`) and as the request that cutopt's own take-off makes of it. The same seed gives
the same jobs, byte for byte. Unlike the rooms these requests come from cutopt's layout: the
greedy ways know no slanted cuts, so there is nobody else to lay them out for.
"""

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from cutopt.documents import Job
from cutopt.layout import take_off

SEED = 11
FOLDER = Path(__file__).parent / "instances" / "slanted"
JOBS = "jobs"

Json = dict[str, Any]
Outline = list[list[int]]


class Order(NamedTuple):
    """One floor: its room, tile in mm, bond and angle, how far the tile may be turned."""

    room: str
    width: int
    height: int
    bond: str
    angle: float
    turn: str = "quarter"
    kerf: float = 2
    joint: int = 3

    @property
    def name(self) -> str:
        """Return the name of the file."""
        kind = "herringbone" if self.bond == "herringbone" else "diagonal"
        return f"{kind}-{self.room}-{self.width}x{self.height}-at-{self.angle:g}"


ORDERS = (
    Order("hall", 297, 297, "stack", 45),
    Order("hall", 447, 447, "stack", 45, "half"),
    Order("kitchen", 200, 200, "stack", 45),
    Order("kitchen", 597, 597, "stack", 45),
    Order("bath", 150, 150, "stack", 45, kerf=1.6, joint=2),
    Order("bath", 300, 300, "running", 45),
    Order("column", 297, 297, "stack", 45),
    Order("column", 397, 397, "stack", 30),
    Order("column", 600, 300, "running", 45, "half"),
    Order("landing", 330, 330, "stack", 30),
    Order("landing", 450, 450, "stack", 60, "none"),
    Order("porch", 200, 200, "stack", 22.5),
    Order("porch", 300, 300, "stack", 45, "none", kerf=3),
    Order("hall", 300, 100, "herringbone", 45),
    Order("hall", 600, 100, "herringbone", 0, "half"),
    Order("kitchen", 600, 150, "herringbone", 45, "half"),
    Order("kitchen", 450, 150, "herringbone", 0),
    Order("bath", 300, 100, "herringbone", 0),
    Order("bath", 75, 300, "herringbone", 45, "half", kerf=1.6, joint=2),
    Order("column", 600, 100, "herringbone", 45, "half"),
    Order("column", 400, 100, "herringbone", 0, "half"),
    Order("landing", 75, 300, "herringbone", 0, "half", joint=2),
    Order("landing", 500, 125, "herringbone", 45, "half"),
    Order("porch", 300, 100, "herringbone", 45),
    Order("porch", 300, 75, "herringbone", 45, "none", kerf=3),
)


def hall(rng: random.Random) -> Json:
    """Return an L."""
    long, deep = _about(rng, 3400), _about(rng, 2800)
    x, y = _about(rng, 2000), _about(rng, 1400)
    return {"outline": [[0, 0], [long, 0], [long, y], [x, y], [x, deep], [0, deep]]}


def kitchen(rng: random.Random) -> Json:
    """Return a room with a chimney breast in its back wall."""
    long, deep, breast = _about(rng, 3100), _about(rng, 2700), _about(rng, 900)
    x, y = _about(rng, 1000), deep - _about(rng, 380)
    corners = [[x + breast, deep], [x + breast, y], [x, y], [x, deep]]
    return {"outline": [[0, 0], [long, 0], [long, deep], *corners, [0, deep]]}


def bath(rng: random.Random) -> Json:
    """Return a small rectangle with the foot of a basin in it."""
    long, deep = _about(rng, 1900), _about(rng, 1500)
    foot = _post(rng, 400, 500, 160)
    return {"width": long, "height": deep, "obstacles": [{"kind": "other", **foot}]}


def column(rng: random.Random) -> Json:
    """Return a room round two columns."""
    long, deep = _about(rng, 3000), _about(rng, 2400)
    posts = [_post(rng, x, y, 240) for x, y in ((700, 800), (1900, 1300))]
    return {"width": long, "height": deep, "obstacles": [{"kind": "column", **p} for p in posts]}


def landing(rng: random.Random) -> Json:
    """Return a floor out of square."""
    long, deep = _about(rng, 2300), _about(rng, 1700)
    skew = rng.randrange(15, 60)
    return {"bottom": long, "top": long - skew, "left": deep, "right": deep + rng.randrange(9, 30)}


def porch(rng: random.Random) -> Json:
    """Return a bay: a rectangle with two corners cut off."""
    long, deep, off = _about(rng, 2100), _about(rng, 1500), _about(rng, 420)
    back = [[long, deep - off], [long - off, deep], [off, deep], [0, deep - off]]
    return {"outline": [[0, 0], [long, 0], *back]}


ROOMS: dict[str, Callable[[random.Random], Json]] = {
    room.__name__: room for room in (hall, kitchen, bath, column, landing, porch)
}


def _about(rng: random.Random, length: int) -> int:
    return round(length * rng.uniform(0.93, 1.07))


def _post(rng: random.Random, x: int, y: int, side: int) -> Json:
    return {
        "x": _about(rng, x),
        "y": _about(rng, y),
        "width": _about(rng, side),
        "height": _about(rng, side),
    }


def job_of(order: Order) -> Json:
    """Return the job of a floor."""
    rng = random.Random(f"{SEED} {order.name}")
    bond = {"kind": order.bond, "angle": order.angle}
    if order.bond == "running":
        bond["offset"] = "1/2"
    floor = {
        "id": "F",
        "kind": "floor",
        **ROOMS[order.room](rng),
        "joint": order.joint,
        "bond": bond,
        "start": {"point": [rng.randrange(300, 1000), rng.randrange(300, 1000)], "of": "centre"},
    }
    return {
        "format": "cutopt.job/1",
        "title": f"Haus Lindenhof 7: {order.name}",
        "tiles": [
            {"id": "floor", "width": order.width, "height": order.height, "turn": order.turn}
        ],
        "saw": {"kerf": order.kerf},
        "rooms": [{"name": order.room, "surfaces": [floor]}],
    }


def text_of(job: Json) -> str:
    """Return a job as JSON."""
    return json.dumps(job, indent=1) + "\n"


def main() -> None:
    """Write every floor."""
    (FOLDER / JOBS).mkdir(parents=True, exist_ok=True)
    for order in ORDERS:
        job = job_of(order)
        (FOLDER / JOBS / f"{order.name}.json").write_text(text_of(job), encoding="utf-8")
        request = take_off(Job.of(job)).request
        (FOLDER / f"{order.name}.json").write_text(request.text(), encoding="utf-8")


if __name__ == "__main__":
    main()
