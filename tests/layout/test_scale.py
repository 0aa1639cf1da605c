"""A hall of 600 m2 in 80 mm tiles: whole, in little memory; `takeoff_scale` measures its time."""

import json
import subprocess
import sys
from typing import Any

from cutopt.documents import Job
from cutopt.layout import take_off
from tests.layout.jobs import job, job_data, surface

HALL: dict[str, Any] = {"kind": "floor", "width": 30_000, "height": 20_000}
COLUMN = {"kind": "column", "x": 9_000, "y": 9_000, "width": 500, "height": 500}
SMALL = {"width": 78, "height": 78}


def cells_of(hall: Job) -> int:
    return sum(len(list(laid.pieces())) for laid in take_off(hall).surfaces)


def test_a_hall_is_taken_off_whole() -> None:
    assert cells_of(job(surface(**HALL, obstacles=[COLUMN]), tile=SMALL)) > 90_000


def test_a_diagonal_hall_too() -> None:
    diagonal = {"kind": "stack", "angle": 45}
    assert cells_of(job(surface(**HALL, obstacles=[COLUMN], bond=diagonal), tile=SMALL)) > 90_000


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
