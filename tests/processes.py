"""Programs of ours as processes of their own, never left running."""

import os
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@contextmanager
def started(command: Sequence[object], **options: int) -> Iterator["subprocess.Popen[str]"]:
    """Start a command that finds this source; kill it when it outlives its test."""
    with subprocess.Popen(
        list(map(str, command)),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        text=True,
        **options,  # type: ignore[call-overload]
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def line_of_error(process: "subprocess.Popen[str]") -> str:
    """Return the next line that the process writes to standard error."""
    assert process.stderr is not None
    return process.stderr.readline()
