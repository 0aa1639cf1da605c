"""Invented examples that the OpenAPI document shows; the tests plan and check them."""

from typing import Any

REQUEST: dict[str, Any] = {
    "format": "cutopt.request/1",
    "title": "Haus Lindenhof 7, shower, back wall",
    "units": "mm",
    "tiles": [
        {"id": "field", "width": 600, "height": 300, "turn": "half", "per_box": 6, "price": 4.2}
    ],
    "saw": {"kerf": 2},
    "pieces": [
        {"id": "back-full", "width": 600, "height": 300},
        {
            "id": "back-left",
            "width": 254.5,
            "height": 300,
            "quantity": 2,
            "factory_edges": ["right", "top", "bottom"],
        },
        {
            "id": "back-right",
            "width": 340,
            "height": 300,
            "quantity": 2,
            "factory_edges": ["left", "top", "bottom"],
        },
    ],
    "offcuts": [
        {
            "id": "from-the-hall",
            "width": 280,
            "height": 300,
            "factory_edges": ["right", "top", "bottom"],
        }
    ],
}

PLAN: dict[str, Any] = {
    "format": "cutopt.plan/1",
    "units": "mm",
    "title": "Haus Lindenhof 7, shower, back wall",
    "made_by": "cutopt 0.1.0",
    "seed": 0,
    "stopped": "done",
    "totals": [
        {
            "tile": "field",
            "tiles_needed": 3,
            "lower_bound": 3,
            "proven_minimal": True,
            "full_tiles": 1,
            "cut_tiles": 2,
            "pieces": 5,
            "cut_pieces": 4,
            "offcuts_used": 1,
            "counted_naively": 5,
            "cuts": 4,
            "boxes": 1,
            "cost": 12.6,
        }
    ],
    "cut_tiles": [
        {
            "number": 1,
            "tile": "field",
            "stock": "new",
            "count": 1,
            "width": 600,
            "height": 300,
            "factory_edges": ["left", "right", "top", "bottom"],
            "placements": [{"piece": "back-right", "x": 0, "y": 0, "turn": 0, "part": 1}],
            "cuts": [{"part": 0, "way": "vertical", "at": 340, "makes": [1, 2]}],
            "leftovers": [
                {
                    "part": 2,
                    "x": 342,
                    "y": 0,
                    "width": 258,
                    "height": 300,
                    "factory_edges": ["right", "top", "bottom"],
                }
            ],
        },
        {
            "number": 2,
            "tile": "field",
            "stock": "new",
            "count": 1,
            "width": 600,
            "height": 300,
            "factory_edges": ["left", "right", "top", "bottom"],
            "placements": [
                {"piece": "back-left", "x": 0, "y": 0, "turn": 180, "part": 1},
                {"piece": "back-right", "x": 260, "y": 0, "turn": 180, "part": 4},
            ],
            "cuts": [
                {"part": 0, "way": "vertical", "at": 254.5, "makes": [1, 2]},
                {"part": 2, "way": "vertical", "at": 258, "makes": [3, 4]},
            ],
            "leftovers": [],
        },
        {
            "number": 3,
            "tile": "field",
            "stock": "from-the-hall",
            "count": 1,
            "width": 280,
            "height": 300,
            "factory_edges": ["right", "top", "bottom"],
            "placements": [{"piece": "back-left", "x": 25.5, "y": 0, "turn": 0, "part": 2}],
            "cuts": [{"part": 0, "way": "vertical", "at": 23.5, "makes": [1, 2]}],
            "leftovers": [],
        },
    ],
    "notes": [],
}

JOB: dict[str, Any] = {
    "format": "cutopt.job/1",
    "title": "Haus Lindenhof 7, shower",
    "units": "mm",
    "tiles": [{"id": "field", "width": 600, "height": 300, "turn": "half"}],
    "saw": {"kerf": 2},
    "rooms": [
        {
            "name": "Shower",
            "surfaces": [{"id": "A", "width": 1300, "height": 910, "joint": 2}],
        }
    ],
}

FAULT: dict[str, str] = {
    "place": "/pieces/1/width",
    "value": "0",
    "rule": "this length is more than zero",
}

RUN: dict[str, Any] = {
    "format": "cutopt.run/1",
    "id": "019ac0de-7f00-7abc-8def-0123456789ab",
    "state": "running",
    "created": "2026-11-25T10:15:30.125+00:00",
    "started": "2026-11-25T10:15:30.250+00:00",
    "seed": 0,
    "seconds": 60,
    "attempts": 1,
    "revision": 4,
    "progress": {
        "tile": "field",
        "step": "choosing patterns",
        "tiles": 48,
        "bound": 47,
        "gap": 0.0208,
        "seconds": 2.5,
    },
}
