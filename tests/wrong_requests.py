"""Every field of a request wrong in turn: what command and service must both say of it."""

import copy
import json
from dataclasses import dataclass
from typing import Any

from tests.wrong_orders import GOOD_ORDER, WRONG_ORDERS

MISSING = object()

#: A good request that uses every field there is.
GOOD: dict[str, Any] = {
    "format": "cutopt.request/1",
    "title": "Haus Lindenhof 7, shower",
    "units": "mm",
    "tiles": [
        {
            "id": "field",
            "width": 600,
            "height": 300,
            "turn": "half",
            "per_box": 6,
            "price": 4.2,
            "available": 38,
        },
        {
            "id": "sheet",
            "width": 298,
            "height": 298,
            "mosaic": {"chip_width": 48, "chip_height": 48, "joint": 2, "joined": False},
        },
    ],
    "saw": {"kerf": 2, "greatest_cut": 1200},
    "snap_cutter": {"greatest_cut": 630, "least_strip": 15, "alone": False},
    "objective": "tiles",
    "prefer": ["fewer settings", "fewer cuts"],
    "pieces": [
        {
            "id": "notched",
            "tile": "field",
            "width": 250,
            "height": 300,
            "quantity": 1,
            "factory_edges": ["right", "top"],
            "outline": [[0, 0], [250, 0], [250, 300], [100, 300], [100, 200], [0, 200]],
            "holes": [
                {"x": 180, "y": 100, "diameter": 35},
                {"outline": [[50, 50], [90, 50], [90, 90], [50, 90]]},
            ],
        }
    ],
    "offcuts": [
        {
            "id": "left-over",
            "tile": "field",
            "width": 340,
            "height": 300,
            "quantity": 1,
            "factory_edges": ["left"],
        }
    ],
    "order": GOOD_ORDER,
}


@dataclass(frozen=True)
class Wrong:
    """A value that does not belong at a place, and what is said of it.

    `value` and `rule` are parts of the fault's value and rule; `place` is where the fault is
    found when it is not where the value was put.
    """

    at: str
    put: object
    value: str
    rule: str
    place: str | None = None

    def __str__(self) -> str:
        return f"{self.at}={'missing' if self.put is MISSING else self.put!r}"

    @property
    def expected_place(self) -> str:
        return self.at if self.place is None else self.place

    def request(self) -> dict[str, Any]:
        """Return the good request with this one thing wrong."""
        changed = copy.deepcopy(GOOD)
        *way, last = [int(part) if part.isdigit() else part for part in self.at.split("/")[1:]]
        inner: Any = changed
        for part in way:
            inner = inner[part]
        if self.put is MISSING:
            del inner[last]
        elif isinstance(inner, list) and last == len(inner):
            inner.append(self.put)
        else:
            inner[last] = self.put
        return changed

    def text(self) -> str:
        """Return it as JSON."""
        return json.dumps(self.request())


def _size(at: str) -> list[Wrong]:
    return [
        Wrong(at, 0, "0", "more than zero"),
        Wrong(at, -5, "-5", "more than zero"),
        Wrong(at, "600 kg", "600 kg", "a length is"),
        Wrong(at, 250.0001, "250.0001", "multiple of 0.001 mm"),
        Wrong(at, "2 km", "2 km", "a length is"),
        Wrong(at, 2_000_000, "2000000", "at most 1 km"),
        Wrong(at, True, "true", "a length is"),
        Wrong(at, MISSING, "nothing", "required"),
    ]


def _place(at: str) -> list[Wrong]:
    return [
        Wrong(at, "here", "here", "a length is"),
        Wrong(at, -2_000_000, "-2000000", "at most 1 km"),
    ]


def _name(at: str) -> list[Wrong]:
    return [
        Wrong(at, "", "''", "at least 1 character"),
        Wrong(at, 7, "7", "string"),
        Wrong(at, "a\nb", "'a\\nb'", "pattern"),
        Wrong(at, "x" * 81, "xxx", "at most 80 characters"),
    ]


def _sides(at: str) -> list[Wrong]:
    return [
        Wrong(f"{at}/0", "front", "front", "left"),
        Wrong(at, ["left", "left"], "left", "once"),
        Wrong(at, "left", "left", "list"),
    ]


def _quantity(at: str) -> list[Wrong]:
    return [
        Wrong(at, 0, "0", "greater than or equal to 1"),
        Wrong(at, 1.5, "1.5", "integer"),
        Wrong(at, "2", "2", "integer"),
        Wrong(at, 2_000_001, "2000001", "less than or equal to 2000000"),
    ]


WRONG: list[Wrong] = [
    Wrong("/format", "cutopt.request/2", "cutopt.request/2", "cutopt.request/1"),
    Wrong("/format", None, "null", "cutopt.request/1"),
    Wrong("/title", 5, "5", "string"),
    Wrong("/title", "x" * 201, "xxx", "at most 200 characters"),
    Wrong("/units", "cm", "cm", "'mm' or 'in'"),
    Wrong("/units", ["mm"], "mm", "'mm' or 'in'"),
    Wrong("/colour", "red", "red", "no field has this name"),
    Wrong("/peices", [], "[]", "did you mean 'pieces'"),
    Wrong("/tiles", MISSING, "nothing", "required"),
    Wrong("/tiles", [], "[]", "at least 1 item"),
    Wrong("/tiles", {}, "{}", "list"),
    Wrong("/tiles/0", "field", "field", "object"),
    *_name("/tiles/0/id"),
    Wrong("/tiles/0/id", MISSING, "nothing", "required"),
    Wrong("/tiles/1", GOOD["tiles"][0], "field", "unique", place="/tiles/0/id"),
    *_size("/tiles/0/width"),
    *_size("/tiles/0/height"),
    Wrong("/tiles/0/width", 10_001, "10001 mm", "between"),
    Wrong("/tiles/0/turn", "any", "any", "'none', 'half' or 'quarter'"),
    Wrong("/tiles/0/per_box", 0, "0", "greater than or equal to 1"),
    Wrong("/tiles/0/per_box", 2.5, "2.5", "integer"),
    Wrong("/tiles/0/available", -1, "-1", "greater than or equal to 0"),
    Wrong("/tiles/0/available", 2.5, "2.5", "integer"),
    Wrong("/tiles/0/available", 2_000_001, "2000001", "less than or equal to 2000000"),
    Wrong("/tiles/0/price", -1, "-1", "a price is"),
    Wrong("/tiles/0/price", "cheap", "cheap", "a price is"),
    Wrong("/tiles/0/thickness", 9, "9", "no field has this name"),
    Wrong("/tiles/0/mosaic", "chips", "chips", "object"),
    *_size("/tiles/1/mosaic/chip_width"),
    *_size("/tiles/1/mosaic/chip_height"),
    Wrong("/tiles/1/mosaic/chip_width", 47, "47 mm", "a sheet is as many chips"),
    Wrong("/tiles/1/mosaic/joint", 0, "0", "tiles are not laid touching"),
    Wrong("/tiles/1/mosaic/joined", "yes", "yes", "boolean"),
    Wrong("/pieces/0/tile", "sheet", "250 mm x 300 mm", "whole chips", place="/pieces/0"),
    Wrong("/saw", 2, "2", "object"),
    Wrong("/saw/kerf", -0.001, "-0.001", "zero or more"),
    Wrong("/saw/kerf", "thin", "thin", "a length is"),
    Wrong("/saw/kerf", 20.5, "20.5 mm", "at most 20 mm"),
    Wrong("/pieces", MISSING, "nothing", "required"),
    Wrong("/pieces", [], "[]", "at least 1 item"),
    *_name("/pieces/0/id"),
    Wrong("/pieces/0/id", MISSING, "nothing", "required"),
    Wrong("/pieces/1", GOOD["pieces"][0], "notched", "unique", place="/pieces/0/id"),
    *_name("/pieces/0/tile"),
    Wrong("/pieces/0/tile", "floor", "floor", "names a tile of the request"),
    *_size("/pieces/0/width"),
    *_size("/pieces/0/height"),
    Wrong("/pieces/0/width", 0.4, "0.4 mm", "between"),
    *_quantity("/pieces/0/quantity"),
    *_sides("/pieces/0/factory_edges"),
    Wrong("/pieces/0/outline", [[0, 0], [250, 0]], "[[0, 0], [250, 0]]", "at least 3 items"),
    Wrong("/pieces/0/outline", [[0, 0], [250, 300], [250, 0], [0, 300]], "4", "crosses"),
    Wrong("/pieces/0/outline", [[0, 0], [0, 300], [250, 300], [250, 0]], "4", "anticlockwise"),
    Wrong("/pieces/0/outline", [[0, 0], [200, 0], [200, 300]], "3", "fills its box"),
    Wrong("/pieces/0/outline/0", [0], "nothing", "required", place="/pieces/0/outline/0/1"),
    *_place("/pieces/0/outline/0/1"),
    Wrong("/pieces/0/holes", 3, "3", "list"),
    *_place("/pieces/0/holes/0/x"),
    *_place("/pieces/0/holes/0/y"),
    Wrong("/pieces/0/holes/0/x", MISSING, "35", "either x, y", place="/pieces/0/holes/0"),
    Wrong("/pieces/0/holes/0/x", 17, "17 mm", "inside", place="/pieces/0/holes/0"),
    Wrong("/pieces/0/holes/0/diameter", 0, "0", "more than zero"),
    Wrong("/pieces/0/holes/0/diameter", "wide", "wide", "a length is"),
    *_place("/pieces/0/holes/1/outline/0/1"),
    *_name("/pieces/0/goes_on"),
    Wrong("/pieces/0/goes_on", "nobody", "nobody", "names a piece of the same tile"),
    Wrong("/offcuts", 1, "1", "list"),
    *_name("/offcuts/0/id"),
    Wrong("/offcuts/0/id", MISSING, "nothing", "required"),
    Wrong("/offcuts/1", GOOD["offcuts"][0], "left-over", "unique", place="/offcuts/0/id"),
    Wrong("/offcuts/0/tile", "floor", "floor", "names a tile of the request"),
    *_size("/offcuts/0/width"),
    *_size("/offcuts/0/height"),
    Wrong("/offcuts/0/width", 601, "601 mm", "no larger than its tile", place="/offcuts/0"),
    *_quantity("/offcuts/0/quantity"),
    *_sides("/offcuts/0/factory_edges"),
    Wrong("/prefer", [], "[]", "at least 1 item"),
    Wrong("/prefer", ["fewer cuts", "fewer cuts"], "fewer cuts", "named once"),
    Wrong("/prefer/0", "fewer tiles", "fewer tiles", "'fewer cuts'"),
    Wrong("/objective", "money", "money", "'tiles' or 'cost'"),
    *(one for one in _size("/saw/greatest_cut") if one.put is not MISSING),
    *_size("/snap_cutter/greatest_cut"),
    Wrong("/snap_cutter/least_strip", -1, "-1", "zero or more"),
    Wrong("/snap_cutter/least_strip", MISSING, "nothing", "required"),
    Wrong("/snap_cutter/alone", "yes", "yes", "boolean"),
    Wrong("/snap_cutter/alone", True, "2 mm", "there is no saw", place="/saw"),
    Wrong("/pieces/0/tiles", ["field"], "field", "at least 2 items"),
    *(Wrong(*row) for row in WRONG_ORDERS),
]

#: Texts that are no document at all, each with a part of what is said of them.
NO_JSON: list[tuple[bytes, str]] = [
    (b"", "no JSON"),
    (b"{", "no JSON"),
    (b'{"tiles": [1,]}', "no JSON"),
    (b'{"tiles": NaN}', "NaN"),
    (b'{"tiles": [], "tiles": []}', "twice"),
    (b"[" * 100 + b"]" * 100, "nests at most"),
    (b"[" * 100_000, "nests at most"),
    (b"\xff\xfe{\x00}\x00", "UTF-8|utf-8"),
    (b'{"tiles": ' + b"9" * 5000 + b"}", "no JSON"),
]

#: JSON that is no object.
NO_OBJECT: list[bytes] = [b"[]", b"5", b'"plan"', b"true", b"null"]
