"""An integer program that nobody waits for any more is let end before the process does."""

import subprocess
import sys

from tests.processes import ROOT

_LEFT_ALONE = """
import time
from cutopt.solver.master import Watch
assert Watch(60, 1, lambda: True).run(lambda: (time.sleep(0.6), print("ended"))) is None
print("left alone", flush=True)
"""


def test_work_that_is_left_alone_ends_before_the_process() -> None:
    done = subprocess.run(
        [sys.executable, "-c", _LEFT_ALONE], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.split("\n") == ["left alone", "ended", ""]
