"""The published instances in tests/data, as requests."""

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from cutopt.documents import Request
from tests.building import request

DATA = Path(__file__).resolve().parents[1] / "data"


def instances(file: str) -> Iterator[dict[str, Any]]:
    """Yield the instances of a file."""
    yield from json.loads((DATA / file).read_text(encoding="utf-8"))["instances"]


def gcut(file: str, name: str, turn: str) -> Request:
    """Return one of Beasley's or Cintra's instances, without kerf."""
    found = next(one for one in instances(file) if one["name"] == name)
    sheet = found["stock"][0]
    pieces = [(item["w"], item["h"], item["demand"]) for item in found["items"]]
    return request((sheet["W"], sheet["H"]), pieces, turn=turn)


def of_items(sheet: tuple[int, int], items: Iterable[tuple[int, int]], turn: str) -> Request:
    """Return the request for a list of single items, equal ones put together, without kerf."""
    pieces = [(width, height, count) for (width, height), count in Counter(items).items()]
    return request(sheet, pieces, turn=turn)
