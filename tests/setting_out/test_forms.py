"""Forms, conditions and critical starts, one tiny case each."""

from cutopt.documents import Job, Start
from cutopt.setting_out.critical import NEAR, Marks, Stretch, critical_starts, stretches_of
from cutopt.setting_out.forms import Box, Form, Sum, form_of
from cutopt.setting_out.meeting import narrowed
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import space_of
from cutopt.units import MM
from tests.layout.jobs import job, job_data, surface

BOX = Box((0, 10), (100, 30))


def test_a_form_is_least_and_most_at_the_ends_of_a_box() -> None:
    grows, shrinks = Form(5, 1, 0), Form(50, -1, 1)
    assert (grows.least(BOX), grows.most(BOX)) == (5, 105)
    assert (shrinks.least(BOX), shrinks.most(BOX)) == (20, 40)


def test_a_form_is_read_off_two_ends_or_it_is_none() -> None:
    assert form_of(7, 7, 0, BOX) == Form(7)
    assert form_of(7, 107, 0, BOX) == Form(7, 1, 0)
    assert form_of(60, 40, 1, BOX) == Form(70, -1, 1)
    assert form_of(7, 57, 0, BOX) is None
    assert form_of(7, 107, None, BOX) is None


def test_what_grows_and_shrinks_together_is_fixed() -> None:
    both = Sum.of((Form(5, 1, 0), Form(90, -1, 0)), -100)
    assert both.slopes == ()
    assert both.least(BOX) == -5


def test_conditions_tighten_a_box_to_the_unit() -> None:
    twice = Sum.of((Form(0, 1, 0), Form(0, 1, 0)), -81)
    assert twice.tightened(BOX) == Box((0, 10), (40, 30))
    point, left = narrowed(BOX, [[twice], [Sum.of((Form(60, -1, 0),), 0)]], 2)
    assert left == [Sum.of((Form(60, -1, 0),), 0)]
    assert twice.at(point.low) <= 0


def test_critical_starts_of_a_bare_wall() -> None:
    space = space_of(job(surface(width=1000, height=700, edges={"all": "open"})))
    ground = Sights(space).ground("/rooms/0/surfaces/0")
    across = critical_starts(ground, 0)
    # Tiles of 600 and joints of 2: the right edge at 1000 lies 398 into the second tile.
    assert across.joins == {0, 398 * MM}
    assert across.parts == {2 * MM, 400 * MM}


def test_a_joint_at_an_edge_is_one_stretch() -> None:
    marks = Marks(frozenset({100}), frozenset({120}), 20)
    assert stretches_of([marks], 1000) == [
        Stretch(0, 100 - NEAR),
        Stretch(100, 120),
        Stretch(120 + NEAR, 999),
    ]


def test_marks_that_overlap_stay_single() -> None:
    one = Marks(frozenset({100}), frozenset({120}), 20)
    other = Marks(frozenset({110}), frozenset({130}), 20)
    shut = [s for s in stretches_of([one, other], 1000) if s.low == s.high]
    assert [s.low for s in shut] == [100, 110, 120, 130]


def test_walls_that_meet_share_their_course_lines() -> None:
    walls = [surface(id=mark) for mark in "ABC"]
    data = job_data(*walls)
    data["rooms"][0]["corners"] = [{"left": "A", "right": "B"}]
    space = space_of(Job.of(data))
    assert [(v.marks, v.axis) for v in space.variables] == [
        (("A",), 0),
        (("B",), 0),
        (("C",), 0),
        (("A", "B"), 1),
        (("C",), 1),
    ]


def test_what_may_not_move_keeps_its_start_and_leads_its_neighbours() -> None:
    walls = [surface(id="A", start={"x": 10, "y": 20}), surface(id="B")]
    data = job_data(*walls, setting_out=[{"surfaces": ["A"], "move": "nothing"}])
    data["rooms"][0]["corners"] = [{"left": "A", "right": "B"}]
    space = space_of(Job.of(data))
    assert [(v.marks, v.axis) for v in space.variables] == [(("B",), 0)]
    moved = space.job_at((30 * MM,)).rooms[0].surfaces
    starts = [wall.start or Start() for wall in moved]
    assert [(start.x // MM, start.y // MM) for start in starts] == [(10, 20), (30, 20)]
