"""The plan document: read back as it was written, each wrong field refused by its place."""

import copy
import json
from decimal import Decimal
from typing import Any

import pytest

from cutopt.documents import Plan
from cutopt.errors import Fault, InvalidInput
from cutopt.units import MM
from tests.check.plans import plan

MISSING = object()


def faults(at: str, put: object) -> list[Fault]:
    """Return what is said of the right plan with one field changed."""
    changed = copy.deepcopy(plan())
    *way, last = [int(step) if step.isdigit() else step for step in at.split("/")[1:]]
    inner: Any = changed
    for step in way:
        inner = inner[step]
    if put is MISSING:
        del inner[last]
    else:
        inner[last] = put
    try:
        Plan.of(changed)
    except InvalidInput as problem:
        return list(problem.faults)
    return []


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_plan_gives_back_what_went_in(units: str) -> None:
    made = Plan.of(plan()).model_copy(update={"units": units})
    again = Plan.read(made.text())
    assert again == made
    assert again.text() == made.text()


def test_the_text_is_for_programs_and_for_people() -> None:
    text = Plan.of({**plan(), "title": "Küche"}).text()
    assert text.startswith('{\n  "format": "cutopt.plan/1",\n  "units": "mm",\n  "title": "Küche"')
    assert text.endswith("}\n")
    written = json.loads(text)
    assert written["cut_tiles"][0]["placements"][1]["x"] == 253
    assert written["totals"][0]["cost"] == 21
    assert "seed" not in written


def test_a_price_stays_exact() -> None:
    made = plan()
    made["totals"][0]["cost"] = Decimal("0.30")
    cost = Plan.read(Plan.of(made).text()).totals[0].cost
    assert cost == Decimal("0.3")


def test_lengths_below_a_thousandth_survive() -> None:
    made = plan()
    made["cut_tiles"][0]["placements"][0]["x"] = Decimal("0.000125")
    read = Plan.of(made)
    assert read.cut_tiles[0].placements[0].x == 1
    assert Plan.read(read.text()) == read
    inches = Plan.read(read.model_copy(update={"units": "in"}).text())
    assert inches.cut_tiles[0].placements[0].x == 1
    assert inches.cut_tiles[0].width == 600 * MM


@pytest.mark.parametrize(
    ("at", "put", "rule"),
    [
        ("/format", "cutopt.plan/2", "cutopt.plan/1"),
        ("/totals", [], "at least 1 item"),
        ("/totals", MISSING, "required"),
        ("/totals/0/tiles_needed", -1, "greater than or equal to 0"),
        ("/totals/0/tiles_needed", 1.5, "integer"),
        ("/totals/0/lower_bound", "5", "integer"),
        ("/totals/0/proven_minimal", MISSING, "required"),
        ("/totals/0/proven_minimal", "maybe", "boolean"),
        ("/totals/0/tile", "", "at least 1 character"),
        ("/totals/0/cost", -3, "a price is a number from 0"),
        ("/cut_tiles", MISSING, "required"),
        ("/cut_tiles/0/count", 0, "greater than or equal to 1"),
        ("/cut_tiles/0/width", 0, "more than zero"),
        ("/cut_tiles/0/stock", 5, "string"),
        ("/cut_tiles/0/placements", [], "at least 1 item"),
        ("/cut_tiles/0/placements/0/turn", 45, "0, 90, 180 or 270"),
        ("/cut_tiles/0/placements/0/x", "here", "a length is"),
        ("/cut_tiles/0/placements/0/peice", "end", "did you mean 'piece'?"),
        ("/cut_tiles/0/cuts/0/way", "diagonal", "'vertical', 'horizontal'"),
        ("/cut_tiles/0/cuts/0/makes", [1], "required"),
        ("/cut_tiles/0/cuts/0/makes", [1, 2, 3], "at most 2"),
        ("/cut_tiles/1/cuts/1/corner", "middle", "'bottom-left'"),
        ("/cut_tiles/1/cuts/1/width", -200, "more than zero"),
        ("/cut_tiles/0/leftovers/0/factory_edges/0", "front", "'left'"),
        ("/stopped", "bored", "'done', 'time' or 'cancelled'"),
        ("/notes", "none", "list"),
    ],
)
def test_every_field_wrong_in_turn(at: str, put: object, rule: str) -> None:
    found = faults(at, put)
    assert any(fault.place.startswith(at) and rule in fault.rule for fault in found), found


def test_a_plan_with_no_more_than_the_contract_asks_for_is_read() -> None:
    least = {
        "format": "cutopt.plan/1",
        "totals": [
            {
                "tile": "field",
                "tiles_needed": 1,
                "lower_bound": 1,
                "proven_minimal": True,
                "full_tiles": 0,
                "cut_tiles": 1,
            }
        ],
        "cut_tiles": [
            {
                "number": 1,
                "tile": "field",
                "stock": "new",
                "width": 600,
                "height": 300,
                "placements": [{"piece": "a", "x": 0, "y": 0, "turn": 0}],
            }
        ],
    }
    (total,) = Plan.of(least).totals
    assert (total.pieces, total.cuts, total.counted_naively) == (None, None, None)
