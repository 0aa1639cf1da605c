"""Requests with plans made by hand, one fictional house, and how to read what is drawn of them.

- `bathroom`: mm; a count of three, a shaving, a notch that hosts two pieces, holes, strips too
  small for their names, an offcut, a slanted cut, a slot, turns by 90 and 180 degrees.
- `splashback`: inches; a leftover in a notch, a turn by 270 degrees. Small: the golden files.
- `awkward`: names that mean something to XML, to a spreadsheet or to a terminal; no cuts.
"""

from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from cutopt.documents import Plan, Request

HERE = Path(__file__).parent
NAMES = ("bathroom", "splashback", "awkward")
SVG = "{http://www.w3.org/2000/svg}"


def sample(name: str) -> tuple[Request, Plan]:
    request = (HERE / "samples" / f"{name}.request.json").read_text(encoding="utf-8")
    plan = (HERE / "samples" / f"{name}.plan.json").read_text(encoding="utf-8")
    return Request.read(request), Plan.read(plan)


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg.encode())


def words(root: ElementTree.Element) -> str:
    """Return everything that is to be read in a drawing, blanks left out as lines may break."""
    return squeezed("".join("".join(item.itertext()) for item in root.iter(f"{SVG}text")))


def squeezed(text: str) -> str:
    return "".join(text.split())


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [item for item in root.iter() if item.get("class") == name]


def one_tile(
    cuts: list[dict[str, Any]] | None, placements: list[dict[str, Any]], **more: Any
) -> dict[str, Any]:
    """Return a plan document of one tile, 600 x 300."""
    return {
        "format": "cutopt.plan/1",
        "totals": [
            {
                "tile": "field",
                "tiles_needed": 1,
                "lower_bound": 1,
                "proven_minimal": True,
                "full_tiles": 0,
                "cut_tiles": 1,
                "pieces": len(placements),
                "cut_pieces": len(placements),
                "offcuts_used": 0,
                "counted_naively": len(placements),
                "cuts": len(cuts or ()),
            }
        ],
        "cut_tiles": [
            {
                "number": 1,
                "tile": "field",
                "stock": "new",
                "width": 600,
                "height": 300,
                "placements": placements,
                **({"cuts": cuts} if cuts is not None else {}),
            }
        ],
        **more,
    }


def one_request(*pieces: dict[str, Any], **more: Any) -> Request:
    """Return a request for pieces of one tile, 600 x 300."""
    tile = {"id": "field", "width": 600, "height": 300, "turn": "half"}
    return Request.of({"tiles": [tile], "saw": {"kerf": 2}, "pieces": list(pieces), **more})
