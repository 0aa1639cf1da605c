"""Mosaic: sheets parted along joints of chips, sawn at the boundary only, offcuts joined."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt import Request, plan
from cutopt.check import check_plan
from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.layout import TakeOff
from cutopt.units import MM
from tests.shower.jobs import job_data, taken

SHEET: dict[str, Any] = {
    "id": "sheet",
    "width": 298,
    "height": 298,
    "turn": "quarter",
    "thickness": 6,
    "mosaic": {"chip_width": 48, "chip_height": 48, "joint": 2},
}


def floor(width: float, height: float, **fields: Any) -> dict[str, Any]:
    """Return a floor that is tiled up to its edges: so many chips wide and high."""
    size = {"width": width, "height": height, "joint": 2, "edges": {"all": "open"}}
    return {"id": "F", "kind": "floor", **size, **fields}


def laid(*surfaces: dict[str, Any], joined: bool = True) -> TakeOff:
    mosaic = {**SHEET["mosaic"], "joined": joined}
    return taken(job_data(*surfaces, tiles=[{**SHEET, "mosaic": mosaic}]))[1]


def sizes(found: TakeOff) -> dict[str, tuple[float, float]]:
    return {piece.id: (piece.width / MM, piece.height / MM) for piece in found.request.pieces}


def sheets(found: TakeOff) -> int:
    made = plan(found.request)
    assert check_plan(found.request, made) == ()
    assert made.totals[0].proven_minimal
    return made.totals[0].tiles_needed


def test_a_sheet_is_parted_along_its_joints_and_nothing_is_lost() -> None:
    """Five chips and one: 248 + 2 + 48 = 298, so one sheet gives both at a saw of any kerf."""
    data = job_data(floor(548, 298), floor(48, 298, id="G"), tiles=[SHEET], saw={"kerf": 5})
    found = taken(data)[1]
    assert sorted(sizes(found).values()) == [(48, 298), (248, 298), (298, 298)]
    assert sheets(found) == 2


def test_one_chip_more_needs_another_sheet() -> None:
    assert sheets(laid(floor(548, 298), floor(98, 298, id="G"), joined=False)) == 3


def test_what_ends_within_a_chip_is_asked_for_with_the_chip_whole() -> None:
    found = laid(floor(298 + 2 + 31, 298))
    assert sizes(found)["F1.2"] == (48, 298)
    (finding,) = (one for one in found.findings if one.kind == "sawn chips")
    assert (finding.labels, finding.level) == (("F1.2",), "note")
    assert "31 mm" in finding.value


def test_a_chip_sawn_below_half_is_a_warning() -> None:
    found = laid(floor(298 + 2 + 23, 298))
    assert [one.level for one in found.findings if one.kind == "sawn chips"] == ["warning"]
    whole = laid(floor(298 + 2 + 48, 298))
    assert not [one for one in whole.findings if one.kind == "sawn chips"]


def test_a_sawn_chip_in_sight_is_found_and_a_whole_one_is_not() -> None:
    kinds = [one.kind for one in laid(floor(331, 298)).findings]
    assert kinds == ["sawn chips", "sawn edge", "unbalanced"]
    assert laid(floor(348, 298)).findings == ()


def test_two_offcuts_are_joined_where_that_saves_a_sheet() -> None:
    """Three strips of four chips: whole they take three sheets, joined two (12 chips of 12)."""
    strips = [floor(198, 298, id=mark) for mark in "FGH"]
    assert sheets(laid(*strips, joined=False)) == 3
    found = laid(*strips)
    assert sheets(found) == 2
    assert sorted(sizes(found).values()) == [(98, 298), (98, 298), (198, 298), (198, 298)]
    (finding,) = (one for one in found.findings if one.kind == "joined")
    assert len(finding.labels) == 2


def test_nothing_is_joined_where_that_saves_none() -> None:
    found = laid(floor(198, 298), floor(98, 298, id="G"), floor(148, 298, id="H"))
    assert "joined" not in {one.kind for one in found.findings}
    assert sheets(found) == 2


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(30, 900), st.integers(30, 700)), min_size=1, max_size=3),
    st.booleans(),
)
def test_chips_add_up_and_every_piece_lies_on_the_joints(
    floors: list[tuple[int, int]], is_joined: bool
) -> None:
    surfaces = [floor(*size, id=mark) for mark, size in zip("FGH", floors, strict=False)]
    found = laid(*surfaces, joined=is_joined)
    chips = sum(
        (piece.width + 2 * MM) * (piece.height + 2 * MM) // (50 * MM) ** 2 * piece.quantity
        for piece in found.request.pieces
    )
    expected = sum(-(-width // 50) * -(-height // 50) for width, height in floors)
    # A floor that ends within a joint needs no chip there; gaps under 0.5 mm do not occur.
    assert chips <= expected
    assert chips >= sum((width + 2) // 50 * ((height + 2) // 50) for width, height in floors)
    made = plan(found.request)
    assert made.totals[0].lower_bound >= -(-chips // 36)
    for cut_tile in made.cut_tiles:
        for placed in cut_tile.placements:
            assert placed.x % (50 * MM) == placed.y % (50 * MM) == 0


def test_a_plan_beside_the_joints_is_refused() -> None:
    piece = {"id": "strip", "width": 98, "height": 298}
    request = Request.of({"tiles": [SHEET_OF_REQUEST], "pieces": [piece]})
    made = plan(request)
    (cut_tile,) = made.cut_tiles
    (placed,) = cut_tile.placements
    moved = placed.model_copy(update={"x": placed.x + MM, "part": None})
    update = {"placements": (moved,), "cuts": None, "leftovers": ()}
    other = made.model_copy(update={"cut_tiles": (cut_tile.model_copy(update=update),)})
    rules = {fault.rule for fault in check_plan(request, other)}
    assert "a sheet of mosaic is parted along the joints of its chips" in rules


SHEET_OF_REQUEST = {key: value for key, value in SHEET.items() if key != "thickness"}


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"joint": 3}, "set with the joint of their chips, 2 mm"),
        ({"bond": "running"}, "laid in stack bond"),
    ],
)
def test_sheets_are_laid_so_that_chips_line_up(changes: dict[str, Any], rule: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Job.of(job_data(floor(600, 600, **changes), tiles=[SHEET]))
    assert [rule in fault.rule for fault in caught.value.faults] == [True]


def test_chips_of_the_drain_fall_away_whole() -> None:
    """A drain of two by two chips, the cross of two joints in its middle."""
    drain = {"kind": "point", "x": 299, "y": 299, "width": 98, "height": 98}
    found = laid(floor(598, 598, drains=[drain]))
    assert len(found.surfaces[0].cut) == 4
    assert {piece.shape.doubled_area for piece in found.surfaces[0].cut} == {
        2 * (298 * 298 - 50 * 50) * MM * MM
    }
    assert "lippage" not in {one.kind for one in found.findings}
