"""Every fault of a part has its own message, and all come at once."""

from typing import Any

import pytest

from cutopt.documents import Job
from cutopt.errors import Fault, InvalidInput
from tests.shower.jobs import TILE, curb, job_data, opening, wall, window
from tests.shower.test_lists import floor

WALL = "/rooms/0/surfaces/0"
PART = "/rooms/0/parts/0"
RETURNS = f"{WALL}/openings/0/returns"
THIN = {key: value for key, value in TILE.items() if key != "thickness"}


def faults_of(data: dict[str, Any]) -> tuple[Fault, ...]:
    with pytest.raises(InvalidInput) as caught:
        Job.of(data)
    return caught.value.faults


def rim(**fields: Any) -> dict[str, Any]:
    return {"rims": {"all": fields}}


LINED = [
    (opening(x=2100), f"{WALL}/openings/0", "does not go across a corner"),
    (window(depth=201), f"{RETURNS}/depth", "no deeper than its wall is thick, 200 mm"),
    (window(**rim(kind="profile", face=300)), f"{RETURNS}/rims/all", "narrower than the tile"),
    (
        window(**rim(kind="profile", face=8, offset=9)),
        f"{RETURNS}/rims/all",
        "by less than its own width",
    ),
    (window(**rim(kind="profile")), f"{RETURNS}/rims/all", "a profile, and nothing else, has"),
    (window(**rim(kind="mitre", face=8)), f"{RETURNS}/rims/all", "and nothing else, has a face"),
    (window(**rim(kind="mitre", joint=2)), f"{RETURNS}/rims/all", "run to the point"),
    (window(**rim(kind="mitre", over="face")), f"{RETURNS}/rims/all", "over is for a factory"),
    (window(pitch=26), f"{RETURNS}/pitch", "a slope is a number of per cent from 0 to 25"),
    (
        opening(height=50, returns={"pitch": 25}),
        f"{RETURNS}/pitch",
        "the pitch leaves nothing of the jambs: the sill rises by 22.5 mm in an opening 28 mm",
    ),
    (opening(width=22), RETURNS, "fill the opening"),
    (window(depth=1), f"{RETURNS}/depth", "of the sill nothing is left"),
    (window(back={}), f"{RETURNS}/back", "only a niche has a back"),
    (window(sill={"tile": "slate"}), f"{RETURNS}/sill/tile", "names a tile of the job: field"),
    (window(id="ABC"), f"{RETURNS}/id", "match pattern"),
    (
        {
            "kind": "window",
            "outline": [[100, 100], [500, 100], [300, 400]],
            "returns": {"id": "N", "depth": 90},
        },
        RETURNS,
        "with x, y, width and height",
    ),
]


@pytest.mark.parametrize(("lined", "place", "rule"), LINED)
def test_a_fault_of_returns(lined: dict[str, Any], place: str, rule: str) -> None:
    found = faults_of(job_data(wall(lined, thickness=200)))
    assert any(fault.place.startswith(place) and rule in fault.rule for fault in found), found
    # A side of which nothing is left may be several.
    assert {fault.place.removesuffix("/kind") for fault in found} <= {found[0].place}


def test_a_niche_may_be_as_deep_as_its_wall_is_thick() -> None:
    Job.of(job_data(wall(window(depth=200), thickness=200)))


@pytest.mark.parametrize(
    ("surface", "place", "rule"),
    [
        (
            floor(drains=[{"kind": "point", "x": 1190, "y": 9, "diameter": 90}]),
            f"{WALL}/drains/0",
            "a drain lies within its floor F",
        ),
        (floor(fall={"slope": 5}), f"{WALL}/fall/slope", "from 2 % to 4 %"),
        (floor(fall={"slope": 1.9}), f"{WALL}/fall/slope", "local code decides"),
        (floor(drains=[]), f"{WALL}/fall", "a floor with one drain"),
        ({**floor(), "kind": "wall", "fall": None}, f"{WALL}/drains", "a drain lies in a floor"),
        (
            floor(
                fall={"field": "cut"},
                drains=[{"kind": "point", "x": 600, "y": 450, "diameter": 90}],
            ),
            f"{WALL}/fall/field",
            "a point drain with width and height",
        ),
    ],
)
def test_a_fault_of_a_floor(surface: dict[str, Any], place: str, rule: str) -> None:
    (fault,) = faults_of(job_data(surface))
    assert fault.place == place
    assert rule in fault.rule


@pytest.mark.parametrize(
    ("part", "place", "rule"),
    [
        (curb(laying={}), f"{PART}/laying/joint", "says its joint"),
        (curb(laying={"tile": "slate", "joint": 2}), f"{PART}/laying/tile", "names a tile"),
        (curb(tiled=[]), f"{PART}/tiled", "at least one"),
        (curb(rims={"all": {"kind": "profile", "face": 300}}), f"{PART}/rims/all", "narrower"),
        (
            curb(width=2, rims={"all": {"kind": "profile", "face": 8, "depth": 20}}),
            f"{PART}/width",
            "leave nothing",
        ),
        (
            {"kind": "skirting", "id": "K", "height": 601, "runs": [900], "laying": {"joint": 2}},
            f"{PART}/height",
            "no higher than its tile",
        ),
    ],
)
def test_a_fault_of_a_part(part: dict[str, Any], place: str, rule: str) -> None:
    (fault,) = faults_of(job_data(parts=[part]))
    assert fault.place == place
    assert rule in fault.rule


def test_an_obstacle_names_a_part_of_its_room() -> None:
    obstacle = {"kind": "other", "x": 0, "y": 0, "width": 300, "height": 400, "part": "X"}
    (fault,) = faults_of(job_data(wall(obstacles=[obstacle]), parts=[curb()]))
    assert fault.place == f"{WALL}/obstacles/0/part"
    assert fault.rule == "this names a curb, seat, ledge or half wall of its room: C"


def test_a_tile_round_a_corner_has_a_thickness() -> None:
    (fault,) = faults_of(job_data(parts=[curb()], tiles=[THIN]))
    assert fault.rule == "a tile that goes round a corner has its thickness with the tile"


def test_letters_of_parts_are_their_own() -> None:
    again = {**wall(), "id": "CT"}
    (fault,) = faults_of(job_data(again, parts=[curb()]))
    assert fault.place == f"{PART}/top"


@pytest.mark.parametrize(
    ("corner", "changes", "rule"),
    [
        ({"left": "C"}, {}, "names two walls of its room: A, B"),
        ({"right": "A"}, {}, "two different walls"),
        ({"kind": "outside"}, {}, "at an inside corner"),
        ({}, {"joint": 3}, "in the same tile, joint"),
        ({}, {"start": {"x": 3}}, "the right wall starts with"),
    ],
)
def test_a_fault_of_a_corner(corner: dict[str, Any], changes: dict[str, Any], rule: str) -> None:
    data = job_data(wall(), {**wall(), "id": "B", **changes})
    data["rooms"][0]["corners"] = [{"left": "A", "right": "B", "continues": True, **corner}]
    (fault,) = faults_of(data)
    assert rule in fault.rule


def test_all_round_the_room_has_no_beginning() -> None:
    data = job_data(wall(), {**wall(), "id": "B"})
    both = [("A", "B"), ("B", "A")]
    data["rooms"][0]["corners"] = [
        {"left": left, "right": right, "continues": True} for left, right in both
    ]
    assert {fault.rule for fault in faults_of(data)} == {
        "courses that go on begin at some wall, not all round the room"
    }


def test_a_return_a_profile_a_drain_a_niche_and_a_pitch_all_at_once() -> None:
    """What the trade gets wrong first: one message each, in one go."""
    drain = {"kind": "point", "x": 1190, "y": 9, "diameter": 90}
    data = job_data(
        wall(
            opening(x=2100),
            {**window(depth=300), "x": 100, "y": 100, "height": 200},
            {**window(**rim(kind="profile", face=310)), "x": 100, "y": 500, "height": 200},
            {**opening(returns={"pitch": 25}), "x": 100, "y": 900, "height": 50},
            thickness=200,
        ),
        floor(drains=[drain]),
    )
    rules = sorted(fault.rule for fault in faults_of(data))
    assert len(rules) == 5
    for rule, expected in zip(
        rules,
        [
            "a drain lies within its floor F",
            "a niche lies within its wall A: it does not go across a corner",
            "a profile is narrower than the tile",
            "a return is no deeper than its wall is thick, 200 mm",
            "the pitch leaves nothing of the jambs",
        ],
        strict=True,
    ):
        assert rule.startswith(expected)


def test_all_faults_come_at_once() -> None:
    data = job_data(
        wall(opening(x=2100), window(depth=300, pitch=2), thickness=200),
        {**floor(fall={"slope": 9}), "id": "F"},
        parts=[curb(laying={})],
    )
    assert len(faults_of(data)) == 4
