"""Every field of the settings of an order wrong in turn, as `tests.wrong_requests` has them."""

from collections.abc import Iterable, Iterator
from typing import Any

#: Good settings that use every field there is.
GOOD_ORDER: dict[str, Any] = {
    "service_level": 0.95,
    "simulated_jobs": 5_000,
    "cost_of_running_short": 150,
    "delivery": "room",
    "tiles": [
        {
            "tile": "field",
            "material": "stone",
            "breakage": {
                "whole": 0,
                "straight": 0.01,
                "slanted": 0.05,
                "notch": 0.05,
                "u_shape": 0.1,
                "round_hole": 0.05,
                "box_hole": 0.12,
                "narrow_strip": 0.1,
                "long_thin": 0.1,
            },
            "faulty": 0.02,
            "fault_hidden": 0.5,
            "keep": 2,
            "per_box": 6,
            "price": 4.2,
            "unopened_boxes_go_back": True,
            "thickness": 9,
            "joint": 2,
        }
    ],
    "trim": [
        {
            "id": "steel",
            "surfaces": ["A"],
            "runs": [{"name": "sill", "length": 900, "quantity": 2, "mitres": 1}],
            "bars": [{"length": 2500, "price": 14}],
            "corners": "butt",
            "face": 10,
            "kerf": 2,
            "joins": True,
        }
    ],
    "adhesive": {
        "notch": {"depth": 10, "width": 10, "spacing": 10},
        "angle": 45,
        "powder": 1.2,
        "back_butter": True,
        "back_butter_bed": 1,
        "extra": 0.05,
        "package": 25,
        "price": 20,
    },
    "grout": {
        "density": 1.65,
        "depth": 9,
        "extra": 0.1,
        "package": 5,
        "price": 12,
        "colour": "grey",
        "colours": {"A": "white"},
    },
    "sealant": {"depth": 3, "fillet": False, "extra": 0.15, "package": 310, "price": 9},
    "spacers": {"per_tile": 4, "per_m2": 2, "package": 200, "price": 5},
    "primer": {"per_m2": 0.2, "package": 5, "price": 30},
    "clips": {"per_tile": 2, "package": 100, "price": 15},
    "work": {
        "people": 2,
        "second_person": 0.8,
        "hours_per_day": 8,
        "wall_pace": 0.9,
        "floor_pace": 2,
        "mosaic_pace": 1,
        "minutes_per_cut": 2,
        "open_minutes": 20,
        "grout_pace": 8,
        "grout_minutes": 30,
        "hours_to_grout": 24,
        "hours_to_seal": 24,
        "first": "walls",
    },
}
#: Where the parts of the settings stand in a request.
ORDER_HOMES = {
    "OrderSettings": "/order",
    "TileToBuy": "/order/tiles/0",
    "Breakage": "/order/tiles/0/breakage",
    "Profile": "/order/trim/0",
    "MeasuredRun": "/order/trim/0/runs/0",
    "BarOnSale": "/order/trim/0/bars/0",
    "Adhesive": "/order/adhesive",
    "Notch": "/order/adhesive/notch",
    "Grout": "/order/grout",
    "Sealant": "/order/sealant",
    "ByPiece": "/order/(spacers|primer|clips)",
    "Work": "/order/work",
}

Row = tuple[str, object, str, str]
Said = tuple[object, str, str]

_SAID: dict[str, tuple[Said, ...]] = {
    "chance": (
        (1, "1", "below 1"),
        (1.2, "1.2", "from 0 to below 1"),
        (-0.01, "-0.01", "from 0 to below 1"),
        ("often", "often", "a chance is a number"),
    ),
    "share": ((1.01, "1.01", "from 0 to 1"), ("half", "half", "a share is a number")),
    "level": (
        (1, "1", "no reserve is enough for 100 %"),
        (0, "0", "above 0"),
        (95, "95", "below 1"),
        ("sure", "sure", "a service level"),
    ),
    "amount": ((0, "0", "above 0"), (200_000, "200000", "at most 100,000"), (True, "true", "this")),
    "money": ((-1, "-1", "a price is"), ("cheap", "cheap", "a price is")),
    "some": ((0, "0", "greater than or equal to 1"), (1.5, "1.5", "integer")),
    "few": ((-1, "-1", "greater than or equal to 0"), ("2", "2", "integer")),
    "size": ((0, "0", "more than zero"), ("5 kg", "5 kg", "a length is")),
    "width": ((-1, "-1", "zero or more"), ("thin", "thin", "a length is")),
    "flag": (("perhaps", "perhaps", "boolean"),),
    "name": (("", "''", "at least 1 character"), (7, "7", "string")),
    "list": ((3, "3", "list"),),
    "part": ((3, "3", "object"),),
}
#: The fields by what they hold, relative to where their part stands.
_FIELDS: dict[str, dict[str, str]] = {
    "OrderSettings": {
        "level": "service_level",
        "money": "cost_of_running_short",
        "list": "tiles trim",
        "part": "adhesive grout sealant spacers primer clips work",
    },
    "TileToBuy": {
        "name": "tile",
        "part": "breakage",
        "chance": "faulty",
        "share": "fault_hidden",
        "few": "keep",
        "some": "per_box",
        "money": "price",
        "flag": "unopened_boxes_go_back",
        "size": "thickness joint",
    },
    "Breakage": {
        "chance": "whole straight slanted notch u_shape round_hole box_hole narrow_strip long_thin"
    },
    "Profile": {
        "name": "id",
        "list": "surfaces runs bars",
        "width": "face kerf",
        "flag": "joins",
    },
    "MeasuredRun": {"name": "name", "size": "length", "some": "quantity", "few": "mitres"},
    "BarOnSale": {"size": "length", "money": "price"},
    "Adhesive": {
        "part": "notch",
        "amount": "angle powder back_butter_bed package",
        "flag": "back_butter",
        "share": "extra",
        "money": "price",
    },
    "Notch": {"size": "depth width spacing"},
    "Grout": {
        "amount": "density package",
        "size": "depth",
        "share": "extra",
        "money": "price",
        "name": "colour",
        "part": "colours",
    },
    "Sealant": {
        "size": "depth",
        "flag": "fillet",
        "share": "extra",
        "amount": "package",
        "money": "price",
    },
    "ByPiece": {"amount": "per_tile per_m2 package", "money": "price"},
    "Work": {
        "share": "second_person",
        "amount": "hours_per_day wall_pace floor_pace mosaic_pace minutes_per_cut open_minutes "
        "grout_pace grout_minutes hours_to_grout hours_to_seal",
    },
}


def _rows(homes: Iterable[str], fields: dict[str, str]) -> Iterator[Row]:
    for home in homes:
        for kind, names in fields.items():
            for name in names.split():
                yield from ((f"{home}/{name}", *said) for said in _SAID[kind])


WRONG_ORDERS: list[Row] = [
    ("/order", "all of it", "all of it", "object"),
    ("/order/simulated_jobs", 999, "999", "greater than or equal to 1000"),
    ("/order/simulated_jobs", 10**6, "1000000", "less than or equal to 200000"),
    ("/order/delivery", "later", "later", "'job' or 'room'"),
    ("/order/tiles/0/material", "glass", "glass", "'ceramic', 'porcelain' or 'stone'"),
    ("/order/trim/0/bars", [], "[]", "at least 1 item"),
    ("/order/trim/0/corners", "round", "round", "'mitre' or 'butt'"),
    ("/order/trim/0/surfaces/0", "wall", "wall", "pattern"),
    ("/order/trim/0/runs/0/mitres", 3, "3", "less than or equal to 2"),
    ("/order/work/people", 3, "3", "1 or 2"),
    ("/order/work/first", "ceiling", "ceiling", "'floors' or 'walls'"),
    ("/order/tiles/0/colour", "red", "red", "no field has this name"),
    *(
        row
        for part, fields in _FIELDS.items()
        for row in _rows(
            ["/order/spacers"] if part == "ByPiece" else [ORDER_HOMES[part]],
            fields,
        )
    ),
]
