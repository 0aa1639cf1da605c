"""The plan of work: batches, sections, waits, and what comes before what."""

import pytest

from cutopt.buying.work import plan_of_work
from cutopt.documents.buying import OrderSettings
from cutopt.documents.order import Order, WorkStep
from tests.buying.orders import job_data, ordered, wall

NICHE = {
    "kind": "niche",
    "x": 700,
    "y": 900,
    "width": 600,
    "height": 400,
    "returns": {"id": "N", "depth": 90, "back": {}},
}


def tasks(order: Order) -> list[str]:
    return [f"{step.task} {step.where}" for step in order.work]


def clock(step: WorkStep) -> float:
    return (step.day - 1) * 24 + step.starts


def test_the_floor_is_set_waited_for_and_protected_before_the_walls() -> None:
    order = ordered(job_data([wall("A"), wall("F", kind="floor", width=1200, height=900)]))
    assert tasks(order) == [
        "set F",
        "wait room 1",
        "protect room 1",
        "set A",
        "wait room 1",
        "grout room 1",
        "wait room 1",
        "seal room 1",
    ]


def test_walls_first_when_asked() -> None:
    surfaces = [wall("F", kind="floor", width=1200, height=900), wall("A")]
    order = ordered(job_data(surfaces, work={"first": "walls"}))
    assert tasks(order)[:2] == ["set A", "set F"]
    assert not any(step.task == "protect" for step in order.work)


def test_the_back_then_sill_head_and_jambs() -> None:
    order = ordered(job_data([wall("A", openings=[NICHE])]))
    marks = [step.where.split(",")[0] for step in order.work if step.task == "set"]
    assert marks == ["A", "NB", "NS", "NH", "NL", "NR"]


def test_nothing_begins_before_what_it_waits_for() -> None:
    rooms = [
        [wall("A"), wall("F", kind="floor", width=1200, height=900)],
        [wall("B"), wall("G", kind="floor", width=1200, height=900)],
    ]
    order = ordered(job_data(*rooms, work={"hours_to_grout": 30, "hours_to_seal": 20}))
    for room in ("room 1", "room 2"):
        mark = {"room 1": "A", "room 2": "B"}[room]
        ends = {
            (step.task, step.where): (clock(step), step.hours)
            for step in order.work
            if step.task != "wait"
        }
        set_at, hours = ends["set", mark]
        # Working hours stretch over nights, so the end is at least so much later.
        assert ends["grout", room][0] >= set_at + hours + 30 - 0.02
        assert ends["seal", room][0] >= sum(ends["grout", room]) + 20 - 0.02
    starts = [clock(step) for step in order.work]
    assert starts == sorted(starts)


def test_batches_by_open_time_and_pace() -> None:
    """1 m2 an hour and 30 minutes of open time: half a square metre at once."""
    work = {"wall_pace": 1, "open_minutes": 30, "minutes_per_cut": 0.001}
    order = ordered(job_data([wall("A")], work=work))
    step = order.work[0]
    assert step.area_of_batch == 0.5
    assert step.batches == 11  # 5.04 m2 less the joints along the edges
    assert step.courses_of_batch == pytest.approx(0.5 / (2.4 * 0.302), abs=0.05)
    two = ordered(job_data([wall("A")], work={**work, "people": 2})).work[0]
    assert two.area_of_batch == pytest.approx(0.9)
    assert two.hours == pytest.approx(step.hours / 1.8, abs=0.01)


def test_grout_in_sections_by_working_time() -> None:
    order = ordered(job_data([wall("A")], work={"grout_pace": 4, "grout_minutes": 30}))
    step = next(step for step in order.work if step.task == "grout")
    assert (step.area_of_batch, step.batches) == (2.0, 3)


def test_a_day_ends_and_work_goes_on_in_the_morning() -> None:
    order = ordered(job_data([wall("A"), wall("B")], work={"hours_per_day": 4, "wall_pace": 1}))
    first, second = order.work[0], order.work[1]
    assert (first.day, first.starts) == (1, 0)
    assert first.hours > 4
    assert second.day == 2
    assert second.starts == pytest.approx(first.hours - 4, abs=0.01)


def test_nothing_to_do_takes_no_steps() -> None:
    assert plan_of_work([], OrderSettings(), {}) == ()
