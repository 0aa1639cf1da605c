"""Every fault of a job has its own message, and all come at once."""

from typing import Any

import pytest

from cutopt.documents import Job
from cutopt.errors import Fault, InvalidInput
from cutopt.layout import take_off
from tests.layout.jobs import job_data, surface

AT = "/rooms/0/surfaces/0"


def faults_of(data: dict[str, Any]) -> tuple[Fault, ...]:
    with pytest.raises(InvalidInput) as caught:
        take_off(Job.of(data))
    return caught.value.faults


def window(x: int, y: int, width: int, height: int, **fields: Any) -> dict[str, Any]:
    return {"kind": "window", "x": x, "y": y, "width": width, "height": height, **fields}


CROSSED = [[0, 0], [1000, 1000], [1000, 0], [0, 1000]]


@pytest.mark.parametrize(
    ("fields", "place", "rule"),
    [
        ({"outline": CROSSED}, "/outline", "neither crosses nor touches itself"),
        ({"openings": [window(2000, 100, 401, 300)]}, "/openings/0", "lies within its surface A"),
        ({"openings": [{"kind": "niche", "outline": CROSSED}]}, "/openings/0/outline", "crosses"),
        (
            {"openings": [window(100, 100, 300, 300), window(399, 100, 300, 300)]},
            "/openings/1",
            f"does not overlap {AT}/openings/0",
        ),
        (
            {
                "openings": [window(100, 100, 300, 300)],
                "holes": [{"kind": "pipe", "x": 90, "y": 200, "diameter": 30}],
            },
            "/holes/0",
            f"does not overlap {AT}/openings/0",
        ),
        ({"joint": 0}, "/joint", "wider than zero"),
        ({"joint": -2}, "/joint", "wider than zero"),
        ({"joint": 51}, "/joint", "at most 50 mm"),
        ({"bond": "basket weave"}, "/bond", "as long as one tile"),
        ({"bond": {"kind": "planks"}}, "/bond", "either a stagger or starts"),
        ({"bond": {"kind": "planks", "stagger": 302}}, "/bond/stagger", "at most half a tile"),
        ({"bond": {"kind": "stack", "offset": "1/3"}}, "/bond", "is for the bond 'running'"),
        ({"bond": {"kind": "running", "offset": "1/0"}}, "/bond/offset", "share of the tile"),
        ({"bond": {"kind": "running", "offset": 1}}, "/bond/offset", "from 0 to below 1"),
        ({"bond": {"kind": "stack", "angle": 91}}, "/bond/angle", "from -90 to 90"),
        ({"bond": "zigzag"}, "/bond/kind", "stack"),
        ({"start": {"x": 602}}, "/start/x", "within one repeat"),
        ({"start": {"y": -302}}, "/start/y", "within one repeat"),
        ({"start": {"point": [-1, 0]}}, "/start/point", "from a point of the surface"),
        ({"edges": {"lower": "floor"}}, "/edges", "left, right, top, bottom or all"),
        ({"edges": {"left": "somewhere"}}, "/edges/left/meets", "inside corner"),
        ({"tile": "other"}, "/tile", "names a tile of the job"),
        ({"id": "a"}, "/id", "match pattern"),
        ({"width": 200_001}, "", "at most 200 m long"),
        ({"bottom": 2400}, "", "measured as width and height, or"),
        ({"drains": [{"kind": "point", "x": 9, "y": 9}]}, "/drains/0", "either a diameter"),
    ],
)
def test_each_fault_has_its_place_and_message(
    fields: dict[str, Any], place: str, rule: str
) -> None:
    data = surface(**fields)
    if "bottom" in fields:
        data |= {"width": 2400, "height": 2100}
    (fault,) = faults_of(job_data(data))
    assert fault.place == AT + place
    assert rule in fault.rule


def test_all_faults_are_reported_at_once() -> None:
    wrong = surface(
        openings=[window(2000, 100, 401, 300), window(100, 100, 300, 300)],
        holes=[{"kind": "pipe", "x": 110, "y": 110, "diameter": 30}],
        start={"x": 602},
        edges={"lower": "floor"},
    )
    other = surface(bond="basket weave")
    places = {fault.place for fault in faults_of(job_data(wrong, other))}
    second = "/rooms/0/surfaces/1"
    assert places == {
        f"{AT}/openings/0",
        f"{AT}/holes/0",
        f"{AT}/start/x",
        f"{AT}/edges",
        f"{AT}/id",
        f"{second}/id",
        f"{second}/bond",
    }


@pytest.mark.parametrize(
    "opening", [window(2000, 100, 400, 300), window(0, 0, 700, 2000), window(0, 0, 2399, 2100)]
)
def test_openings_may_reach_the_edge_of_their_wall(opening: dict[str, Any]) -> None:
    Job.of(job_data(surface(openings=[opening])))


def test_openings_may_touch() -> None:
    Job.of(job_data(surface(openings=[window(100, 100, 300, 300), window(400, 100, 300, 300)])))


def test_a_part_in_the_recess_of_an_l_lies_outside() -> None:
    ell = [[0, 0], [2000, 0], [2000, 800], [900, 800], [900, 2000], [0, 2000]]
    for opening, inside in (
        (window(900, 800, 300, 300), False),
        (window(600, 500, 300, 300), True),
        (window(800, 700, 300, 300), False),
    ):
        data = job_data(surface(outline=ell, openings=[opening]))
        if inside:
            Job.of(data)
        else:
            assert [fault.place for fault in faults_of(data)] == [f"{AT}/openings/0"]


def test_same_opening_twice_overlaps() -> None:
    twice = [window(100, 100, 300, 300)] * 2
    assert [fault.place for fault in faults_of(job_data(surface(openings=twice)))] == [
        f"{AT}/openings/1"
    ]


def test_joints_that_leave_nothing_are_refused_surface_by_surface() -> None:
    narrow = surface(width=5, height=500)
    sharp = surface(id="B", outline=[[0, 0], [2000, 0], [0, 50]])
    blocked = surface(id="C", width=500, openings=[window(0, 0, 500, 2100)])
    faults = faults_of(job_data(narrow, sharp, blocked))
    assert [(fault.place, fault.rule) for fault in faults] == [
        (AT, "the joints along the edges leave too little between them"),
        ("/rooms/0/surfaces/1", "a corner is too sharp for the joints along it"),
        ("/rooms/0/surfaces/2", "openings leave nothing to tile"),
    ]


def test_cells_are_bounded_before_any_is_made() -> None:
    data = job_data(surface(width=150_000, height=150_000), tile={"width": 50, "height": 50})
    (fault,) = faults_of(data)
    assert fault.place == "/rooms"
    assert "cells" in fault.value


def test_two_surfaces_may_not_share_their_letters() -> None:
    faults = faults_of(job_data(surface(), surface()))
    assert [fault.place for fault in faults] == [f"{AT}/id", "/rooms/0/surfaces/1/id"]


def test_tiles_saw_and_offcuts_are_looked_at_too() -> None:
    offcut = {"id": "rest", "width": 610, "height": 300}
    data = job_data(offcuts=[offcut], saw={"kerf": 21}, tile={"height": 10_001})
    places = {fault.place for fault in faults_of(data)}
    assert {"/offcuts/0", "/saw/kerf", "/tiles/0/height"} <= places
