"""The command run in process, and files to run it on."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from cutopt.command import main

#: Two ends that come out of one tile, and a full tile.
ENDS: dict[str, Any] = {
    "format": "cutopt.request/1",
    "tiles": [{"id": "field", "width": 600, "height": 300, "turn": "half"}],
    "saw": {"kerf": 2},
    "pieces": [
        {"id": "left", "width": 254.5, "height": 300},
        {"id": "right", "width": 340, "height": 300},
        {"id": "middle", "width": 600, "height": 300},
    ],
}

#: A wall that takes full tiles and a cut column.
WALL: dict[str, Any] = {
    "format": "cutopt.job/1",
    "tiles": [{"id": "field", "width": 600, "height": 300, "turn": "half"}],
    "rooms": [
        {
            "name": "Haus Lindenhof 7, shower",
            "surfaces": [{"id": "A", "width": 1300, "height": 910, "joint": 2}],
        }
    ],
}


@dataclass(frozen=True)
class Ended:
    """How a command ended: exit status, standard output, lines on standard error."""

    status: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        return self.err.splitlines()


Run = Callable[..., Ended]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Return a function that runs the command; no traceback may ever come out of it."""

    def run_command(*argv: object) -> Ended:
        status = main([str(argument) for argument in argv])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Ended(status, out, err)

    return run_command


@pytest.fixture
def wall(tmp_path: Path) -> Path:
    """Return the path of the job `WALL`."""
    path = tmp_path / "wall.json"
    path.write_text(json.dumps(WALL))
    return path


@pytest.fixture
def ends(tmp_path: Path) -> Path:
    """Return the path of the request `ENDS`."""
    path = tmp_path / "ends.json"
    path.write_text(json.dumps(ENDS))
    return path
