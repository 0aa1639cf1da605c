"""A hall of 600 m2 in 80 mm tiles: time and memory."""

import json
import subprocess
import sys
import time
from typing import Any

from cutopt.documents import Job
from cutopt.layout import take_off
from tests.layout.jobs import job, job_data, surface

HALL: dict[str, Any] = {"kind": "floor", "width": 30_000, "height": 20_000}
COLUMN = {"kind": "column", "x": 9_000, "y": 9_000, "width": 500, "height": 500}
SMALL = {"width": 78, "height": 78}


def seconds_for(hall: Job) -> float:
    begin = time.perf_counter()
    take_off(hall)
    return time.perf_counter() - begin


def test_a_hall_is_taken_off_in_three_seconds() -> None:
    hall = job(surface(**HALL, obstacles=[COLUMN]), tile=SMALL)
    cells = sum(len(list(laid.pieces())) for laid in take_off(hall).surfaces)
    assert cells > 90_000
    assert seconds_for(hall) < 3


def test_a_diagonal_hall_too() -> None:
    diagonal = {"kind": "stack", "angle": 45}
    assert seconds_for(job(surface(**HALL, obstacles=[COLUMN], bond=diagonal), tile=SMALL)) < 3


def test_a_hall_needs_less_than_a_gibibyte() -> None:
    program = (
        "import json, resource, sys\n"
        "from cutopt.documents import Job\n"
        "from cutopt.layout import take_off\n"
        "take_off(Job.of(json.load(sys.stdin)))\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
    )
    data = json.dumps(job_data(surface(**HALL, obstacles=[COLUMN]), tile=SMALL))
    done = subprocess.run(
        [sys.executable, "-c", program], input=data, capture_output=True, text=True, check=True
    )
    assert int(done.stdout) < 1024 * 1024


def test_time_grows_with_the_cells_and_no_faster() -> None:
    """Ten times the cells take at most thirty times as long: ten would be linear."""

    def best(side: int) -> float:
        square = surface(kind="floor", width=side, height=side)
        hall = job(square, tile=SMALL)
        return min(seconds_for(hall) for _ in range(2))

    assert best(40_000) < 30 * best(12_650)
