"""What the parts take, in words: order of setting, trim, sealant, falls, travelling offcuts."""

import re
from pathlib import Path

import pytest

from cutopt import plan
from cutopt.check import check_plan
from cutopt.documents import Job, Plan
from cutopt.layout import TakeOff, check_take_off, take_off
from cutopt.reports import travel_lines, write_parts, write_summary
from cutopt.reports.travel import travels
from cutopt.stop import MaxProcessorSeconds
from tests.shower.jobs import job_data, opening, taken, wall

SHOWER = Path(__file__).parents[2] / "docs" / "examples" / "shower.json"
Shower = tuple[Job, TakeOff, Plan]


@pytest.fixture(scope="module")
def shower() -> Shower:
    """Return the shower of the documentation, taken off and planned."""
    job = Job.read(SHOWER.read_bytes())
    found = take_off(job)
    assert check_take_off(job, found) == ()
    return job, found, plan(found.request, MaxProcessorSeconds(20))


def test_the_whole_shower_is_proven_minimal_per_tile(shower: Shower) -> None:
    _, found, made = shower
    assert check_plan(found.request, made) == ()
    assert {total.tile for total in made.totals} == {"wall", "stone", "mosaic"}
    assert all(total.proven_minimal for total in made.totals)


def test_travels_are_those_of_the_plan(shower: Shower) -> None:
    _, found, made = shower
    marks = {piece.entry: laid.mark for laid in found.surfaces for piece in laid.cut}
    mixed = [
        cut_tile
        for cut_tile in made.cut_tiles
        if len({marks[placed.piece] for placed in cut_tile.placements}) > 1
    ]
    moved = travels(found, made)
    assert mixed
    assert {travel.guest.mark for travel in moved} <= set(marks.values())
    assert all(travel.guest.mark != travel.host.mark for travel in moved)
    # Each such tile has one host, and one or more guests.
    assert sum(travel.pieces for travel in moved) >= len(mixed)


def test_jambs_come_from_the_tiles_of_other_surfaces(shower: Shower) -> None:
    job, found, made = shower
    lines = dict(travel_lines(job, found, made))
    assert {"NL", "NR", "WL", "WR"} <= set(lines)
    text = write_summary(found.request, made, travel_lines(job, found, made))
    assert "Offcuts that travel" in text
    assert "left jamb of the niche: its piece from" in text
    assert max(map(len, text.splitlines())) <= 80


def test_one_tile_for_two_surfaces_is_told_with_its_course() -> None:
    low = {"id": "B", "width": 598, "height": 97, "joint": 2, "edges": {"all": "open"}}
    high = {**low, "id": "A", "title": "wall", "height": 500}
    job, found, _ = taken(job_data(high, {**low, "title": "plinth"}))
    made = plan(found.request)
    assert list(travel_lines(job, found, made)) == [
        ("B", "plinth: its piece from wall (A, top course)")
    ]


def test_a_whole_surface_of_its_own_travels_nowhere() -> None:
    job, found, _ = taken(job_data(wall()))
    assert list(travel_lines(job, found, plan(found.request))) == []


def test_the_list_names_what_is_set_first(shower: Shower) -> None:
    job, found, made = shower
    text = write_parts(job, found, made)
    order = re.findall(r"\b(N[A-Z])\b", text.split("Trim in sight")[0])
    assert order == ["NB", "NS", "NH", "NL", "NR"]
    assert "carry the head" in text
    assert max(map(len, text.splitlines())) <= 80


def test_the_list_has_trim_sealant_and_falls() -> None:
    rim = {"kind": "profile", "face": 10}
    job, found, _ = taken(job_data(wall(opening(returns={"rims": {"all": rim}}))))
    text = write_parts(job, found)
    assert "598 mm, face 10" in text
    assert "both ends mitre" in text
    assert "3 mm wide, inside corner" in text
    assert "Offcuts" not in text
    assert "Falls" not in text
