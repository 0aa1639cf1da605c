"""What a table or a drawing does not say and the command is told: tile, saw, units."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutopt.documents import Document, Job, Request
from cutopt.errors import Fault, InvalidInput
from cutopt.units import Units

Json = dict[str, Any]

_TILE = re.compile(r"(?:(?P<id>[^=]+)=)?(?P<width>[^x×=]+)[x×](?P<height>[^x×=]+)")
TILE_RULE = "a tile is written 600x300 or NAME=600x300, lengths also with units: 2ft x 1ft"


@dataclass(frozen=True)
class Setup:
    """Tiles, saw and units for what is imported; of a drawing one layer, or all."""

    tiles: Sequence[Json]
    turn: str = "none"
    kerf: str = "2 mm"
    units: Units = "mm"
    joint: str = "2 mm"
    title: str | None = None
    layer: str | None = None

    def request(self, pieces: Sequence[Json]) -> Json:
        """Return the request for pieces, not yet read."""
        return {**self._head("cutopt.request/1"), "pieces": list(pieces)}

    def job(self, rooms: Mapping[str, Sequence[Json]]) -> Json:
        """Return the job for the surfaces of rooms, not yet read."""
        listed = [{"name": name, "surfaces": list(found)} for name, found in rooms.items()]
        return {**self._head("cutopt.job/1"), "rooms": listed}

    def _head(self, name: str) -> Json:
        tiles = [{**tile, "turn": self.turn} for tile in self.tiles]
        head: Json = {"format": name, "units": self.units, "tiles": tiles}
        if self.title is not None:
            head["title"] = self.title
        return {**head, "saw": {"kerf": self.kerf}}


def read_tile(text: str, units: Units = "mm") -> Json:
    """Return a tile from the command line; raises `ValueError` with the rule."""
    found = _TILE.fullmatch(text.strip())
    if found is None:
        raise ValueError(TILE_RULE)
    sizes = {side: length(found[side], units) for side in ("width", "height")}
    return {"id": (found["id"] or "tile").strip(), **sizes}


def length(text: str, units: Units) -> str:
    """Return a length as documents read it: what bears no unit counts the document's."""
    text = text.strip()
    bare = re.fullmatch(r"-?(\d+\s+\d+/\d+|\d+/\d+|\d+(\.\d+)?|\.\d+)", text)
    return f"{text} {units}" if bare else text


def read_as(data: Json, places: Mapping[str, str]) -> Document:
    """Return the document; its faults name places of the file that it came from.

    `places` leads from the JSON pointer of an item to its place in the file.
    """
    model: type[Document] = Job if data["format"] == "cutopt.job/1" else Request
    try:
        return model.of(data)
    except InvalidInput as problem:
        raise InvalidInput([_placed(fault, places) for fault in problem.faults]) from None


def _placed(fault: Fault, places: Mapping[str, str]) -> Fault:
    best = max((at for at in places if f"{fault.place}/".startswith(f"{at}/")), key=len, default="")
    if not best:
        return fault
    rest = fault.place[len(best) :].strip("/")
    place = places[best] + (f", {rest.replace('/', ' ')}" if rest else "")
    return Fault(place, fault.value, fault.rule)
