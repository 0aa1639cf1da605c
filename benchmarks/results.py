"""What a measurement is, and where instances and measurements lie."""

import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NotRequired, TypedDict

HERE = Path(__file__).parent
INSTANCES = HERE / "instances"
RESULTS = HERE / "results"


class Row(TypedDict):
    """One instance, measured. Tiles are summed over the kinds of tile of the request."""

    name: str
    edges: str
    pieces: int
    cut_pieces: int
    sizes: int
    baselines: dict[str, int]
    tiles: int
    bound: int
    proven: bool
    stopped: str | None
    seconds: float
    processor_seconds: NotRequired[float]
    seconds_allowed: float
    peak_mib: int
    made_by: str
    packer: str
    machine: str


def instances(group: str) -> list[Path]:
    """Return the stored instances of a group, by name."""
    found = sorted((INSTANCES / group).glob("*.json"))
    if not found:
        raise SystemExit(f"no instances in group '{group}'")
    return found


def read(path: Path) -> list[Row]:
    """Return the rows of a results file of instances, none when it is not there yet."""
    return list(read_lines(path))


def read_lines(path: Path) -> Iterator[Any]:
    """Yield the objects of a results file, none when it is not there yet.

    A last line without its line feed was cut off when a run was killed; it is left out.
    """
    if path.exists():
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        yield from (json.loads(line) for line in lines if line.endswith("\n"))


def write(path: Path, rows: Iterable[Row]) -> None:
    """Write rows, one JSON object a line, whole or not at all."""
    write_lines(path, rows)


def write_lines(path: Path, rows: Iterable[Mapping[str, object]]) -> None:
    """Write objects, one a line, whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    partial = path.with_suffix(".partial")
    partial.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    partial.replace(path)
