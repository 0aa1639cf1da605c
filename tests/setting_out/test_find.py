"""Proposals: the front, the rules that fix a start, joints that make tiles come out."""

from typing import Any

import pytest

from benchmarks.small_walls import small_wall
from cutopt.documents import Job
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.layout import take_off
from cutopt.layout.ground import ground_of
from cutopt.plane import box_of, doubled_area
from cutopt.reports.proposals import write_proposals
from cutopt.setting_out import Found, find, joint_changes, set_out_of
from cutopt.setting_out.search import area_less_joints
from cutopt.stop import MaxSeconds
from cutopt.units import MM
from tests.layout.jobs import job_data, surface

WINDOW = {
    "kind": "window",
    "x": 700,
    "y": 900,
    "width": 800,
    "height": 700,
    "edges": {"all": "open"},
}


def found_with(**rule: Any) -> Found:
    wall = surface(openings=[WINDOW], edges={"all": "open"})
    return find(Job.of(job_data(wall, setting_out=[{"surfaces": ["A"], **rule}])), MaxSeconds(20))


def start_of(found: Found) -> tuple[int, int]:
    (wall,) = found.chosen[0].job.rooms[0].surfaces
    assert wall.start is not None
    return wall.start.x, wall.start.y


def test_proposals_hold_what_they_say() -> None:
    found = find(Job.of(small_wall(8)), MaxSeconds(30))
    document = set_out_of(found, 0)
    assert type(document).read(document.text()) == document
    assert document.proven_best
    assert "no start within the rules takes fewer" in document.proposals[0].sentence
    assert found.chosen[0].start.tiles == found.bound == found.best.tiles
    for chosen in found.chosen:
        (total,) = chosen.plan.totals
        assert total.tiles_needed == chosen.start.tiles
        assert chosen.lower_bound >= total.lower_bound
        assert Job.read(chosen.job.text()) == chosen.job
    assert all(one.proven_minimal for one in document.proposals)
    assert not document.tried
    unproven = [one.model_copy(update={"proven_minimal": False}) for one in document.proposals]
    told = write_proposals(document.model_copy(update={"proposals": tuple(unproven)}))
    assert f">= {unproven[0].lower_bound}" in told
    assert "proven  " in write_proposals(document)
    shares = [c.measures.share for c in found.chosen if c.name != "fewest tiles"]
    assert all(share > 0 for share in shares)


def test_a_full_tile_at_a_named_edge() -> None:
    x, y = start_of(found_with(full_at=["right", "top"], least_cut={"floor": 0}))
    assert (2400 * MM - x) % (602 * MM) == 600 * MM
    assert (2100 * MM - y) % (302 * MM) == 300 * MM


@pytest.mark.parametrize(("of", "first"), [("joint", 1001), ("tile", 700)])
def test_a_line_that_a_joint_or_a_tile_lies_on(of: str, first: int) -> None:
    x, _ = start_of(found_with(lines=[{"of": of, "x": 1000}], least_cut={"floor": 0}))
    assert x == first * MM % (602 * MM)


def test_a_joint_at_the_edge_of_a_window() -> None:
    found = found_with(joints_at=[{"opening": 0, "side": "left"}], least_cut={"floor": 0})
    # Its edges have no joint: a tile ends at 700.
    assert (700 * MM - start_of(found)[0]) % (602 * MM) == 600 * MM
    assert found.chosen[0].measures.aligned >= 1


def test_rules_that_contradict_each_other() -> None:
    with pytest.raises(InvalidInput, match="holds at some start"):
        found_with(full_at=["left", "right"])


def test_nothing_that_moves() -> None:
    with pytest.raises(InvalidInput, match="something may move"):
        found_with(move="nothing")


def test_out_of_square_walls_get_proposals_and_an_honest_bound() -> None:
    shape = {"bottom": 610, "top": 611, "left": 330, "right": 330}
    document = set_out_of(find(Job.of(job_data(surface(**shape))), MaxSeconds(20)), 0)
    assert document.lower_bound < document.tiles_needed
    assert (document.tried, document.proven_best) == (("A",), False)
    told = write_proposals(document)
    assert "A: tried at some starts only, not proven" in told
    assert "A plan is proven for its own start only" in told


def test_a_wall_that_was_only_tried_may_be_proven_by_its_area() -> None:
    shape = {"bottom": 1800, "top": 1806, "left": 1500, "right": 1504}
    document = set_out_of(find(Job.of(job_data(surface(joint=3, **shape))), MaxSeconds(20)), 0)
    assert (document.tried, document.proven_best) == (("A",), True)
    told = write_proposals(document)
    assert "A: tried at some starts only, proven by area alone" in told
    assert "not proven" not in told


@pytest.mark.parametrize(
    ("bond", "width", "height"),
    [
        ({"kind": "herringbone"}, 400, 100),
        ({"kind": "stack", "angle": 45}, 300, 300),
        ({"kind": "basket weave"}, 203, 100),
        ({"kind": "running"}, 600, 300),
    ],
)
def test_the_bound_by_area_holds_at_every_start(
    bond: dict[str, Any], width: int, height: int
) -> None:
    data = job_data(surface(width=1203, height=1203, joint=3, bond=bond))
    data["tiles"][0] |= {"width": width, "height": height}
    job = Job.of(data)
    ((place, wall),) = job.surfaces
    least = area_less_joints(ground_of(place, wall, job.tiles[0], "mm"))
    assert least > 0.9 * 2 * (1197 * MM) ** 2 * width * height / ((width + 3) * (height + 3))
    for x, y in ((0, 0), (1, 1), (50, 50), (97, 3), (0, 51)):
        data["rooms"][0]["surfaces"][0]["start"] = {"x": x, "y": y}
        pieces = take_off(Job.of(data)).request.pieces
        assert least <= sum(doubled_area(one.shape) * one.quantity for one in pieces)


def test_courses_go_on_round_a_corner() -> None:
    walls = [surface(id="A", width=1500, height=610), surface(id="B", width=1100, height=610)]
    data = job_data(*walls, setting_out=[{"least_cut": {"floor": 0, "sliver": 5}}])
    data["rooms"][0]["corners"] = [{"left": "A", "right": "B", "continues": True}]
    found = find(Job.of(data), MaxSeconds(30))
    assert [v.marks for v in found.space.variables] == [("A",), ("A",)]
    assert found.bound == found.best.tiles
    laid = take_off(found.chosen[0].job).surfaces
    heights = [sorted({box_of(p.shape.outer).height for p in s.cut}) for s in laid]
    assert heights[0][-1] == heights[1][-1]


def test_a_joint_with_which_full_tiles_come_out() -> None:
    wall = surface(width=2407, height=600, edges={"all": "open"})
    rule = {"joint_within": 0.5}
    (change,) = joint_changes(Job.of(job_data(wall, setting_out=[rule])))
    # Four tiles of 600 and three joints of 2.33 mm; 0.01 mm is left.
    assert (change.tiles, change.joint, change.start) == (4, 2 * MM + 33 * MM // 100, 40)
    assert not joint_changes(Job.of(job_data(wall, setting_out=[{"joint_within": 0.3}])))
    spread = {"spread": 0.8}
    assert not joint_changes(Job.of(job_data(wall, tile=spread, setting_out=[rule])))


def test_no_start_within_the_rules_is_said() -> None:
    tall = surface(height=5)
    with pytest.raises((CannotBeMet, InvalidInput)):
        find(Job.of(job_data(tall, edges={})), MaxSeconds(5))


def test_walls_that_cannot_keep_the_floor_together_are_eased() -> None:
    # Courses of 100 and 2: 340 asks for starts that 390 forbids, and the other way round.
    walls = [surface(id=mark, width=820, height=h) for mark, h in (("A", 340), ("B", 388))]
    tile = {"width": 100, "height": 100}
    data = job_data(*walls, tile=tile, setting_out=[{"least_cut": {"floor": "2/5"}}])
    data["rooms"][0]["corners"] = [{"left": "A", "right": "B"}]
    found = find(Job.of(data), MaxSeconds(20))
    alone = [find(Job.of(job_data(wall, tile=tile)), MaxSeconds(20)) for wall in walls]
    assert found.best.tiles >= found.bound
    assert found.options.eased or not any(one.options.eased for one in alone)
