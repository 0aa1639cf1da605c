"""Whatever the job: pieces + joints + perimeter joints + openings = the surface, area for area."""

from typing import Any

from hypothesis import HealthCheck, assume, given, settings

from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.layout import TakeOff, check_take_off, take_off
from cutopt.units import MM
from tests.layout.jobs import jobs

SQUARE_MM = MM * MM


def taken_off(data: dict[str, Any]) -> tuple[Job, TakeOff]:
    try:
        job = Job.of(data)
        return job, take_off(job)
    except InvalidInput:
        assume(False)
        raise


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_check_finds_no_fault_in_random_jobs(data: dict[str, Any]) -> None:
    job, result = taken_off(data)
    assert check_take_off(job, result) == ()
