"""Write the instances of the benchmark: `python -m benchmarks.make_instances`.

Run once; what it wrote is stored under `instances/rooms`. The same seed gives the same bytes.
Each room is written twice: `-factory`, where every side that meets a joint in the field must
be an edge that the factory made, and `-sawn`, where every side may be sawn.
"""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from benchmarks import rooms
from benchmarks.setting_out import Bond, Bonding, Circle, Laid, Surface, set_out
from cutopt.plane import Outline, Rect

SEED = 7
FOLDER = Path(__file__).parent / "instances" / "rooms"
SIDES = ("left", "right", "top", "bottom")
#: Steps of 1/16 in to the unit; 1/16 in is 1.5875 mm.
STEPS = {"mm": 1, "in": 16}
MM_PER_STEP = {"mm": 1.0, "in": 1.5875}

Turn = Literal["none", "half", "quarter"]
Json = dict[str, Any]


@dataclass(frozen=True)
class Tiling:
    """One kind of tile and the room it is laid in; lengths are steps (1 mm or 1/16 in)."""

    room: rooms.Room
    width: int
    height: int
    bond: Bond
    turn: Turn
    joint: int = 2
    tile: str = "field"


@dataclass(frozen=True)
class Order:
    """One room of the benchmark."""

    name: str
    tilings: tuple[Tiling, ...]
    kerf: float = 2
    shelf: int = 0
    units: Literal["mm", "in"] = "mm"


ORDERS = (
    Order("shower-100x100", (Tiling(rooms.shower_alcove, 100, 100, "stack", "quarter"),)),
    Order("shower-150x150", (Tiling(rooms.shower_alcove, 148, 148, "half", "quarter"),)),
    Order("shower-200x200", (Tiling(rooms.shower_alcove, 198, 198, "stack", "half"),), shelf=2),
    Order("shower-300x100", (Tiling(rooms.shower_alcove, 300, 100, "half", "half"),)),
    Order("shower-200x400", (Tiling(rooms.shower_alcove, 200, 400, "stack", "none"),), kerf=0),
    Order("shower-300x600", (Tiling(rooms.shower_alcove, 298, 598, "half", "half", 3),)),
    Order("shower-600x300", (Tiling(rooms.shower_alcove, 600, 300, "third", "half"),)),
    Order("bathroom-1200x600", (Tiling(rooms.bathroom_walls, 1197, 597, "stack", "quarter"),)),
    Order("tub-150x75", (Tiling(rooms.tub_surround, 150, 75, "half", "half"),), kerf=1.5),
    Order("tub-200x400", (Tiling(rooms.tub_surround, 198, 398, "half", "none"),), shelf=3),
    Order("tub-600x300", (Tiling(rooms.tub_surround, 597, 297, "stack", "half", 3),)),
    Order("tub-12x24in", (Tiling(rooms.tub_surround, 191, 382, "half", "half"),), 0.0625, 0, "in"),
    Order("cloakroom-100x100", (Tiling(rooms.cloakroom, 98, 98, "stack", "half"),), kerf=0),
    Order("cloakroom-200x200", (Tiling(rooms.cloakroom, 200, 200, "half", "none"),)),
    Order("cloakroom-300x100", (Tiling(rooms.cloakroom, 298, 98, "half", "half"),), shelf=4),
    Order("cloakroom-300x300", (Tiling(rooms.cloakroom, 300, 300, "stack", "quarter"),)),
    Order("splashback-150x75", (Tiling(rooms.kitchen_splashback, 148, 73, "third", "half"),)),
    Order("splashback-100x100", (Tiling(rooms.kitchen_splashback, 100, 100, "stack", "quarter"),)),
    Order(
        "splashback-6x6in",
        (Tiling(rooms.kitchen_splashback, 95, 95, "half", "half", 1),),
        0.0625,
        1,
        "in",
    ),
    Order("basins-150x150", (Tiling(rooms.basin_wall, 150, 150, "stack", "none"),), kerf=3),
    Order("basins-200x400", (Tiling(rooms.basin_wall, 200, 400, "third", "half", 3),)),
    Order("column-300x300", (Tiling(rooms.floor_with_column, 298, 298, "half", "quarter", 3),)),
    Order("column-450x450", (Tiling(rooms.floor_with_column, 450, 450, "stack", "half", 3),)),
    Order("hall-600x600", (Tiling(rooms.hall_floor, 597, 597, "stack", "quarter", 3),), shelf=2),
    Order("hall-300x600", (Tiling(rooms.hall_floor, 300, 600, "third", "half", 3),), kerf=1.5),
    Order("hall-450x450", (Tiling(rooms.hall_floor, 447, 447, "half", "none", 3),)),
    Order("kitchen-300x300", (Tiling(rooms.kitchen_floor, 297, 297, "stack", "quarter", 3),)),
    Order("kitchen-1200x600", (Tiling(rooms.kitchen_floor, 1200, 600, "third", "half", 3),)),
    Order("kitchen-600x600", (Tiling(rooms.kitchen_floor, 600, 600, "half", "half", 3),), kerf=3),
    Order("utility-200x200", (Tiling(rooms.utility_room, 200, 200, "stack", "quarter", 3),)),
    Order("utility-600x300", (Tiling(rooms.utility_room, 598, 298, "half", "quarter", 3),)),
    Order(
        "bathroom-200x400-300x300",
        (
            Tiling(rooms.bathroom_walls, 198, 398, "stack", "half", tile="wall"),
            Tiling(rooms.bathroom_floor, 298, 298, "stack", "quarter", 3, tile="floor"),
        ),
        shelf=2,
    ),
    Order(
        "bathroom-600x300-600x600",
        (
            Tiling(rooms.bathroom_walls, 600, 300, "stack", "half", tile="wall"),
            Tiling(rooms.bathroom_floor, 600, 600, "stack", "half", 3, tile="floor"),
        ),
    ),
)


def documents(order: Order) -> Iterator[tuple[str, Json]]:
    """Yield the two requests of a room, with the names of their files."""
    rng = random.Random(f"{SEED} {order.name}")
    pieces = [piece for tiling in order.tilings for piece in _pieces(tiling, order, rng)]
    offcuts = [_offcut(order, number, rng) for number in range(1, order.shelf + 1)]
    for kind in ("factory", "sawn"):
        if kind == "sawn":
            pieces = [piece | {"factory_edges": []} for piece in pieces]
        yield (
            f"{order.name}-{kind}",
            {
                "format": "cutopt.request/1",
                "units": order.units,
                "title": f"Haus Lindenhof 7: {order.name}, {kind} edges at the joints",
                "tiles": [_tile(tiling, order) for tiling in order.tilings],
                "saw": {"kerf": order.kerf},
                "pieces": pieces,
                "offcuts": offcuts,
            },
        )


def _tile(tiling: Tiling, order: Order) -> Json:
    width, height = (_length(steps, order) for steps in (tiling.width, tiling.height))
    return {"id": tiling.tile, "width": width, "height": height, "turn": tiling.turn}


def _pieces(tiling: Tiling, order: Order, rng: random.Random) -> Iterator[Json]:
    bonding = Bonding(tiling.width, tiling.height, tiling.joint, tiling.bond)
    surfaces = [_in_steps(surface, order) for surface in tiling.room(rng)]
    laid = [piece for surface in surfaces for piece in set_out(surface, bonding, rng)]
    full = [piece for piece in laid if _is_full(piece, tiling)]
    if full:
        sizes = {"width": _length(tiling.width, order), "height": _length(tiling.height, order)}
        yield (
            {"id": f"{tiling.tile}-full", "tile": tiling.tile, **sizes}
            | {"quantity": len(full), "factory_edges": list(SIDES)}
        )
    for piece in laid:
        if not _is_full(piece, tiling):
            yield _piece(piece, tiling, order)


def _is_full(piece: Laid, tiling: Tiling) -> bool:
    size = (piece.box.width, piece.box.height)
    plain = len(piece.outline) == 4 and not piece.cutouts and not piece.holes
    return plain and size == (tiling.width, tiling.height)


def _piece(piece: Laid, tiling: Tiling, order: Order) -> Json:
    box = piece.box
    found: Json = {
        "id": f"{tiling.tile}-{piece.name}",
        "tile": tiling.tile,
        "width": _length(box.width, order),
        "height": _length(box.height, order),
        "factory_edges": [side for side in SIDES if side in piece.joints],
    }
    if len(piece.outline) > 4:
        found["outline"] = _corners(piece.outline, box, order)
    holes = [{"outline": _corners(cutout[::-1], box, order)} for cutout in piece.cutouts]
    holes += [_hole(hole, box, order) for hole in piece.holes]
    return found | ({"holes": holes} if holes else {})


def _hole(hole: Circle, box: Rect, order: Order) -> Json:
    x, y = _length(hole.x - box.x, order), _length(hole.y - box.y, order)
    return {"x": x, "y": y, "diameter": _length(hole.diameter, order)}


def _corners(outline: Outline, box: Rect, order: Order) -> list[list[float]]:
    return [[_length(x - box.x, order), _length(y - box.y, order)] for x, y in outline]


def _offcut(order: Order, number: int, rng: random.Random) -> Json:
    """Return a left-over of one straight cut, or of two."""
    tiling = order.tilings[number % len(order.tilings)]
    width = tiling.width * rng.randrange(30, 90) // 100
    height = tiling.height if number % 2 else tiling.height * rng.randrange(40, 90) // 100
    edges = ["left", "top", "bottom"] if number % 2 else ["right", "bottom"]
    return {
        "id": f"shelf-{number}",
        "tile": tiling.tile,
        "width": _length(width, order),
        "height": _length(height, order),
        "factory_edges": edges,
    }


def _in_steps(surface: Surface, order: Order) -> Surface:
    def steps(length: int) -> int:
        return round(length / MM_PER_STEP[order.units])

    return Surface(
        surface.name,
        steps(surface.width),
        steps(surface.height),
        tuple(Rect(*map(steps, opening)) for opening in surface.openings),
        tuple(Circle(*map(steps, hole)) for hole in surface.holes),
    )


def _length(steps: int, order: Order) -> float:
    """Return a length in the units of the document: whole, or exact in sixteenths."""
    whole, rest = divmod(steps, STEPS[order.units])
    return whole if not rest else steps / STEPS[order.units]


def text_of(document: Json) -> str:
    """Return a document as JSON with each tile, piece and offcut on a line of its own."""
    fields = (f'  "{name}": {_field(value)}' for name, value in document.items())
    return "{\n" + ",\n".join(fields) + "\n}\n"


def _field(value: object) -> str:
    if not isinstance(value, list) or not value:
        return json.dumps(value)
    return "[\n" + ",\n".join(f"    {json.dumps(item)}" for item in value) + "\n  ]"


def main() -> None:
    """Write every instance."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for order in ORDERS:
        for name, document in documents(order):
            (FOLDER / f"{name}.json").write_text(text_of(document), encoding="utf-8")


if __name__ == "__main__":
    main()
