"""The form of a job measured by hand: fields of the page to a job document, and faults back."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, cast, get_args
from urllib.parse import parse_qsl

from cutopt.documents import Meets
from cutopt.errors import Fault
from cutopt.exchange.setup import length
from cutopt.units import Units

Json = dict[str, Any]
Fields = Mapping[str, str]

#: What a bond is called on the page, and in a job.
BONDS: dict[str, tuple[str, Json]] = {
    "stack": ("straight joints both ways", {"kind": "stack"}),
    "half": ("running, shifted by a half", {"kind": "running", "offset": "1/2"}),
    "third": ("running, shifted by a third", {"kind": "running", "offset": "1/3"}),
    "diagonal": ("straight joints, turned by 45°", {"kind": "stack", "angle": 45}),
    "herringbone": ("herringbone", {"kind": "herringbone"}),
}
TURNS = {
    "half": "may be turned by half a turn",
    "none": "may not be turned: arrow or vein",
    "quarter": "may be turned any way",
}
MEETS: tuple[str, ...] = get_args(Meets)
OPENINGS = ("window", "door", "niche")
HOLES = ("valve", "pipe", "socket", "other")
SIDES = ("left", "right", "top", "bottom")
_MOST_FIELDS = 6_000
_MOST_SURFACES = 40
_SURFACE = ("title", "kind", "width", "top", "height", "right", "start_x", "start_y")
_HEAD = {
    "title": "",
    "units": "mm",
    "tile": "tile",
    "tile_width": "",
    "tile_height": "",
    "turn": "half",
    "per_box": "",
    "kerf": "2",
    "joint": "3",
    "bond": "half",
    "list": "",
    "outlines": "pieces",
}


@dataclass
class Surface:
    """The fields of one surface; openings and holes are lists of fields."""

    values: dict[str, str]
    openings: list[dict[str, str]] = field(default_factory=list)
    holes: list[dict[str, str]] = field(default_factory=list)


@dataclass
class Form:
    """What stands in the form."""

    head: dict[str, str]
    surfaces: list[Surface]

    @property
    def units(self) -> Units:
        """Return the units of bare numbers."""
        return "in" if self.head["units"] == "in" else "mm"


def new_form() -> Form:
    """Return the form as it is opened."""
    return Form(dict(_HEAD), [_surface({}, 0)])


def read_fields(body: bytes) -> dict[str, str]:
    """Return the fields of a form that was sent; raises `ValueError` when they are too many."""
    pairs = parse_qsl(
        body.decode("utf-8"), keep_blank_values=True, max_num_fields=_MOST_FIELDS, errors="strict"
    )
    return dict(pairs)


def form_of(fields: Fields) -> Form:
    """Return the form that was sent, changed as its button says."""
    head = {name: fields.get(name, usual).strip() for name, usual in _HEAD.items()}
    surfaces = []
    for at in range(_MOST_SURFACES):
        if f"s{at}.width" not in fields:
            break
        surfaces.append(_surface(fields, at))
    form = Form(head, surfaces or [_surface({}, 0)])
    _change(form, fields.get("do", ""))
    return form


def _surface(fields: Fields, at: int) -> Surface:
    values = {name: fields.get(f"s{at}.{name}", "").strip() for name in _SURFACE}
    values |= {side: fields.get(f"s{at}.meets.{side}", "") for side in SIDES if side not in values}
    values |= {f"meets.{side}": fields.get(f"s{at}.meets.{side}", "") for side in SIDES}
    return Surface(
        values,
        list(_rows(fields, f"s{at}.o", ("kind", "x", "y", "width", "height"))),
        list(_rows(fields, f"s{at}.h", ("kind", "x", "y", "diameter"))),
    )


def _rows(fields: Fields, stem: str, names: Sequence[str]) -> Iterator[dict[str, str]]:
    for at in range(64):
        if f"{stem}{at}.x" not in fields:
            return
        yield {name: fields.get(f"{stem}{at}.{name}", "").strip() for name in names}


def _change(form: Form, button: str) -> None:
    """Add or drop what a button names: `add surface`, `drop opening 0 1`."""
    found = re.fullmatch(r"(add|drop) (surface|opening|hole)(?: (\d{1,3}))?(?: (\d{1,3}))?", button)
    if found is None:
        return
    verb, what, at, row = found[1], found[2], int(found[3] or 0), int(found[4] or 0)
    if what == "surface" and verb == "add":
        form.surfaces.append(_surface({}, 0))
    elif at < len(form.surfaces):
        if what == "surface":
            form.surfaces[at : at + 1] = []
            form.surfaces = form.surfaces or [_surface({}, 0)]
            return
        rows = getattr(form.surfaces[at], f"{what}s")
        if verb == "add":
            rows.append({"kind": "window" if what == "opening" else "pipe"})
        else:
            rows[row : row + 1] = []


# To a document.


def job_of(form: Form) -> Json:
    """Return the job that a form describes, not yet read."""
    head = form.head
    job: Json = {
        "format": "cutopt.job/1",
        "units": head["units"],
        "tiles": [_tile(form)],
        "saw": {"kerf": length(head["kerf"] or "0", form.units)},
        "rooms": [
            {"name": "room", "surfaces": [_laid(form, at) for at in range(len(form.surfaces))]}
        ],
    }
    return job | ({"title": head["title"]} if head["title"] else {})


def _tile(form: Form) -> Json:
    head = form.head
    tile: Json = {"id": head["tile"] or "tile", "turn": head["turn"]}
    tile |= _lengths(form, {"width": head["tile_width"], "height": head["tile_height"]})
    if head["per_box"]:
        tile["per_box"] = int(head["per_box"]) if head["per_box"].isdecimal() else head["per_box"]
    return tile


def setup_tile(form: Form) -> Json:
    """Return the tile of a list of pieces, whose turn is said elsewhere."""
    return {name: value for name, value in _tile(form).items() if name != "turn"}


def _laid(form: Form, at: int) -> Json:
    surface = form.surfaces[at]
    values = surface.values
    found: Json = {"id": letters(at), "kind": values["kind"] or "wall"}
    found |= {"title": values["title"]} if values["title"] else {}
    found |= _measures(form, values)
    found["joint"] = length(form.head["joint"], form.units) if form.head["joint"] else None
    found["bond"] = BONDS.get(form.head["bond"], BONDS["half"])[1]
    start = _lengths(form, {"x": values["start_x"], "y": values["start_y"]})
    found |= {"start": start} if start else {}
    edges = {side: values[f"meets.{side}"] for side in SIDES if values[f"meets.{side}"]}
    found |= {"edges": edges} if edges else {}
    found["openings"] = [_part(form, row) for row in surface.openings]
    found["holes"] = [_part(form, row) for row in surface.holes]
    return found


def _measures(form: Form, values: Mapping[str, str]) -> Json:
    """Return a rectangle, or the four sides of a surface that is out of square."""
    if not (values["top"] or values["right"]):
        return _lengths(form, {"width": values["width"], "height": values["height"]})
    sides = {
        "bottom": values["width"],
        "top": values["top"] or values["width"],
        "left": values["height"],
        "right": values["right"] or values["height"],
    }
    return _lengths(form, sides)


def _part(form: Form, row: Mapping[str, str]) -> Json:
    sizes = {name: text for name, text in row.items() if name != "kind"}
    return {"kind": row.get("kind", ""), **_lengths(form, sizes)}


def _lengths(form: Form, values: Mapping[str, str]) -> Json:
    """Return the lengths that were filled in; a comma before decimals is read as a point."""
    return {
        name: length(re.sub(r"^(-?\d+),(\d+)", r"\1.\2", text), form.units)
        for name, text in values.items()
        if text
    }


def letters(number: int) -> str:
    """Return A, B, …, Z, AA, AB and so on."""
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number] if number < 26 else f"A{letters(number - 26)}"


# Faults, back to the field where they stand.

_PLACES: tuple[tuple[str, str], ...] = (
    (r"/tiles/0/(width|height)", r"tile_\1"),
    (r"/tiles/0/id", "tile"),
    (r"/tiles/0/(turn|per_box)", r"\1"),
    (r"/saw/kerf", "kerf"),
    (r"/(title|units)", r"\1"),
    (r"/rooms/0/surfaces/(\d+)/bottom", r"s\1.width"),
    (r"/rooms/0/surfaces/(\d+)/left", r"s\1.height"),
    (r"/rooms/0/surfaces/(\d+)/(width|top|height|right|title|kind)", r"s\1.\2"),
    (r"/rooms/0/surfaces/(\d+)/start/(x|y)", r"s\1.start_\2"),
    (r"/rooms/0/surfaces/(\d+)/openings/(\d+)/?(\w*)", r"s\1.o\2.\3"),
    (r"/rooms/0/surfaces/(\d+)/holes/(\d+)/?(\w*)", r"s\1.h\2.\3"),
    (r"/rooms/0/surfaces/\d+/joint", "joint"),
    (r"/rooms/0/surfaces/\d+/bond.*", "bond"),
    (r"/rooms/0/surfaces/(\d+)", r"s\1.width"),
)


def field_of(fault: Fault) -> str:
    """Return the field that a fault belongs to, empty when it is no single one's."""
    for place, name in _PLACES:
        if found := re.fullmatch(place, fault.place):
            field_name = found.expand(name)
            return f"{field_name}x" if field_name.endswith(".") else field_name
    return ""


def faults_by_field(faults: Sequence[Fault]) -> dict[str, list[str]]:
    """Return what is wrong, field by field."""
    found: dict[str, list[str]] = {}
    for fault in faults:
        name = field_of(fault)
        place = f"{fault.place.strip('/')}: " if fault.place and not name else ""
        words = f"{place}{_found(fault)}{fault.rule}"
        said = found.setdefault(name, [])
        if words not in said:
            said.append(words)
    return found


def _found(fault: Fault) -> str:
    return "" if fault.value in ("nothing", "") else f"{fault.value}: "


def form_kept(form: Form) -> Json:
    """Return a form as it is kept, so that it can be opened again."""
    surfaces = [
        {"values": one.values, "openings": one.openings, "holes": one.holes}
        for one in form.surfaces
    ]
    return {"head": form.head, "surfaces": surfaces}


def form_again(kept: Json) -> Form:
    """Return a form that was kept."""
    return Form(
        dict(_HEAD) | cast("dict[str, str]", kept["head"]),
        [Surface(one["values"], one["openings"], one["holes"]) for one in kept["surfaces"]],
    )
