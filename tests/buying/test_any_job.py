"""Any job at all: its order is made, adds up, and covers what the take-off lists."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutopt.buying import make_order
from cutopt.documents import Job
from cutopt.documents.order import Order
from cutopt.errors import InvalidInput
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds
from cutopt.units import MM
from tests.layout.jobs import jobs

rooms = settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))


def order_of(data: dict[str, Any]) -> tuple[TakeOff, Order] | None:
    """Return take-off and order of a random job; None where its joints leave nothing to tile."""
    try:
        found = taken_off(data)
    except InvalidInput:
        return None
    made = plan(found.request, MaxSeconds(0.2))
    return found, make_order(found, made, Job.of(data))


@rooms
@given(jobs(), st.sampled_from(["job", "room"]))
def test_any_job(data: dict[str, Any], delivery: str) -> None:
    order = {"delivery": delivery, "simulated_jobs": 1_000}
    made = order_of({**data, "order": order})
    if made is None:
        return
    found, bought = made
    assert Order.read(bought.text()) == bought
    for tile in bought.tiles:
        assert tile.tiles_wanted == tile.tiles_needed + tile.reserve.spares + tile.keep
        coming = [one for one in bought.deliveries if one.tile == tile.tile]
        if delivery == "room" and coming:
            assert sum(one.tiles for one in coming) == tile.tiles_needed
            assert sum(one.tiles_delivered for one in coming) == tile.tiles_bought
    runs = sum(run.length for run in found.trim)
    assert sum(run.length * run.quantity for one in bought.trim for run in one.runs) == runs
    sealed = sum(joint.length * joint.width * joint.width for joint in found.soft_joints)
    sealant = [one for one in bought.materials if one.material == "sealant"]
    amount = sum(use.amount for one in sealant for use in one.uses)
    assert amount == pytest.approx(sealed / MM**3 / 1000, abs=0.001 * len(found.soft_joints) + 1e-6)
    assert sum(step.task == "set" for step in bought.work) == len(found.surfaces)
