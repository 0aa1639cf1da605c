"""The request: tiles, a saw, the pieces that are wanted and the offcuts on the shelf."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Annotated, Literal, Self

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    model_validator,
)
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Document, Part, Place, Size, Width, reject
from cutopt.documents.base import Money as Money
from cutopt.documents.base import Name as Name
from cutopt.documents.base import Title as Title
from cutopt.documents.buying import OrderSettings
from cutopt.documents.mosaic import Mosaic, faults_of_sheet
from cutopt.documents.wishes import SnapCutter as SnapCutter
from cutopt.documents.wishes import Wishes as Wishes
from cutopt.errors import Fault, shown
from cutopt.plane import (
    Point,
    Rect,
    box_of,
    circle_within,
    doubled_area,
    is_simple,
    outline_within,
)
from cutopt.units import INCH, MM, Units, show_length

Side = Literal["left", "right", "top", "bottom"]
Turn = Literal["none", "half", "quarter"]
ALL_SIDES: tuple[Side, ...] = ("left", "right", "top", "bottom")

#: What one request may ask for at the most; docs/requests.md says why.
MOST_TILES = 50
MOST_PIECES = 20_000
MOST_OFFCUTS = 2_000
MOST_UNITS = 2_000_000
MOST_CORNERS = 64
MOST_HOLES = 16
LONGEST_SIDE = 10_000 * MM
SHORTEST_SIDE = MM // 2
WIDEST_KERF = 20 * MM
#: A tile's longer side over a piece's shorter side.
LARGEST_RATIO = 1_000
#: What a plan calls stock that is a new tile, so that no offcut may be called so.
NEW = "new"

Count = Annotated[int, Field(strict=True, ge=1, le=MOST_UNITS)]


def _each_side_once(sides: tuple[Side, ...]) -> tuple[Side, ...]:
    if len(set(sides)) < len(sides):
        raise PydanticCustomError("sides", "each side is named once")
    return tuple(side for side in ALL_SIDES if side in sides)


def _read_points(value: object) -> object:
    """Make pairs of the corners; what is no pair stays as it is, for pydantic to refuse."""
    if not isinstance(value, list | tuple):
        return value
    return tuple(tuple(point) if isinstance(point, list) else point for point in value)


Sides = Annotated[
    tuple[Side, ...],
    Field(max_length=4, description="Seen on the face of the piece as it will hang."),
    AfterValidator(_each_side_once),
]
Corners = Annotated[
    tuple[tuple[Place, Place], ...],
    Field(min_length=3, max_length=MOST_CORNERS),
    BeforeValidator(_read_points),
]


Alternatives = Annotated[tuple[Name, ...], Field(min_length=2, max_length=MOST_TILES)]


class Tile(Part):
    """A tile by its work size: what a calliper measures, not the name on the box."""

    id: Name
    width: Size
    height: Size
    turn: Turn = Field(
        default="none",
        description="How far a piece may be turned: not at all, by 180, or by any 90 degrees.",
    )
    available: Annotated[int, Field(strict=True, ge=0, le=MOST_UNITS)] | None = Field(
        default=None, description="How many new tiles there are, when no more can be had."
    )
    per_box: Annotated[int, Field(strict=True, ge=1, le=10_000)] | None = None
    price: Money | None = Field(default=None, description="Price of one tile.")
    mosaic: Mosaic | None = Field(
        default=None, description="The tile is a sheet of chips; width and height are the sheet's."
    )


class Saw(Part):
    """The saw: `kerf` is the width that the blade turns to dust."""

    kerf: Width = 2 * MM
    greatest_cut: Size | None = Field(
        default=None, description="Length of the longest cut that it makes; any when left out."
    )


class Hole(Part):
    """A hole in a piece: round (`x`, `y`, `diameter`), or any `outline`."""

    x: Place | None = None
    y: Place | None = None
    diameter: Size | None = None
    outline: Corners | None = None

    @model_validator(mode="after")
    def _round_or_outlined(self) -> Self:
        given = [self.x is not None, self.y is not None, self.diameter is not None]
        if any(given) if self.outline is not None else not all(given):
            raise PydanticCustomError("hole", "a hole has either x, y and diameter, or an outline")
        return self

    def lies_inside(self, outline: Sequence[Point]) -> bool:
        """Tell whether the hole touches the outline nowhere and lies within."""
        if self.outline is not None:
            return outline_within(self.outline, outline)
        assert self.x is not None
        assert self.y is not None
        assert self.diameter is not None
        return circle_within((self.x, self.y), self.diameter, outline)


class Piece(Part):
    """A piece that is wanted, as it will hang on the wall, seen on its face."""

    id: Name
    tile: Name | None = Field(default=None, description="May be left out with a single tile.")
    tiles: Alternatives | None = Field(
        default=None, description="Instead of `tile`: it may be cut from any of these."
    )
    width: Size
    height: Size
    quantity: Count = 1
    factory_edges: Sides = ()
    outline: Corners | None = Field(
        default=None, description="Corners, anticlockwise, in the piece's own box."
    )
    holes: Annotated[tuple[Hole, ...], Field(max_length=MOST_HOLES)] = ()
    goes_on: Name | None = Field(
        default=None,
        description="The piece that goes on, to the right, with the offcut of this one's tile; "
        "kept in one tile where that takes no tile more.",
    )

    @property
    def shape(self) -> tuple[Point, ...]:
        """Return the corners of the piece, of its box when it has no outline."""
        return self.outline or Rect(0, 0, self.width, self.height).corners

    @property
    def is_rectangle(self) -> bool:
        """Tell whether the piece is its whole box, holes aside."""
        return self.outline is None or doubled_area(self.shape) == 2 * self.width * self.height

    @property
    def is_plain(self) -> bool:
        """Tell whether nothing is cut out of the piece's box."""
        return self.is_rectangle and not self.holes


class Offcut(Part):
    """An offcut on the shelf: used before a new tile is opened, never counted as bought."""

    id: Name
    tile: Name | None = Field(default=None, description="May be left out with a single tile.")
    width: Size
    height: Size
    quantity: Count = 1
    factory_edges: Sides = ()


class Request(Document):
    """Tiles, saw, pieces and offcuts: what a plan is made for."""

    format: Literal["cutopt.request/1"] = "cutopt.request/1"
    title: Title | None = None
    tiles: Annotated[tuple[Tile, ...], Field(min_length=1, max_length=MOST_TILES)]
    saw: Saw = Saw()
    snap_cutter: SnapCutter | None = None
    pieces: Annotated[tuple[Piece, ...], Field(min_length=1, max_length=MOST_PIECES)]
    offcuts: Annotated[tuple[Offcut, ...], Field(max_length=MOST_OFFCUTS)] = ()
    objective: Literal["tiles", "cost"] = Field(
        default="tiles", description="What is least, where pieces may be cut from several tiles."
    )
    prefer: Wishes | None = Field(
        default=None, description="Second wishes, the first one first; none costs a tile."
    )
    order: OrderSettings | None = Field(
        default=None, description="What `cutopt order` is told; a plan does not look at it."
    )

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        reject(_faults_across(self))
        return self

    def tile_of(self, item: Piece | Offcut) -> Tile:
        """Return the tile that a piece or an offcut is of; of several, the first."""
        if isinstance(item, Piece) and item.tiles:
            return self.tiles_of(item)[0]
        return next(tile for tile in self.tiles if item.tile in (None, tile.id))

    def tiles_of(self, piece: Piece) -> tuple[Tile, ...]:
        """Return the tiles that a piece may be cut from, in the order of the request."""
        if piece.tiles is None:
            return (self.tile_of(piece),)
        return tuple(tile for tile in self.tiles if tile.id in piece.tiles)

    def kerf_of(self, tile: str) -> int:
        """Return what parting a tile takes: the saw's kerf, or the joint of a sheet's chips."""
        mosaic = next((one.mosaic for one in self.tiles if one.id == tile), None)
        kerf: int = self.saw.kerf
        return kerf if mosaic is None else mosaic.parting


def is_full_tile(piece: Piece, tile: Tile) -> bool:
    """Tell whether a piece is a whole tile with nothing cut away."""
    sizes = {(tile.width, tile.height)}
    if tile.turn == "quarter":
        sizes.add((tile.height, tile.width))
    return piece.is_plain and (piece.width, piece.height) in sizes


def _faults_across(request: Request) -> Iterator[Fault]:
    from cutopt.documents.alternatives import (  # noqa: PLC0415 - it reads this module
        faults_of_alternatives,
    )

    yield from _repeated_ids("tiles", request.tiles)
    yield from _repeated_ids("pieces", request.pieces)
    yield from _repeated_ids("offcuts", request.offcuts)
    yield from _faults_of_saw_and_tiles(request)
    units = sum(piece.quantity for piece in request.pieces)
    if units > MOST_UNITS:
        yield Fault("/pieces", f"{units} pieces in all", f"at most {MOST_UNITS} are planned")
    tiles = {tile.id: tile for tile in request.tiles}
    known = {piece.id: piece.tile for piece in request.pieces}
    for number, piece in enumerate(request.pieces):
        if piece.goes_on is not None and known.get(piece.goes_on, "") != piece.tile:
            rule = "this names a piece of the same tile"
            yield Fault(f"/pieces/{number}/goes_on", shown(piece.goes_on), rule)
    for place, item in _placed(request):
        if isinstance(item, Piece) and item.tiles:
            yield from faults_of_alternatives(place, item, request)
            for one in request.tiles_of(item):
                yield from _faults_of_piece(place, item, one, request.units)
            continue
        tile = _tile_named(item.tile, tiles)
        if isinstance(tile, str):
            yield Fault(f"{place}/tile", shown(item.tile or "nothing"), tile)
        elif isinstance(item, Piece):
            yield from _faults_of_piece(place, item, tile, request.units)
        else:
            yield from _faults_of_offcut(place, item, tile, request.units)


def _placed(request: Request) -> Iterator[tuple[str, Piece | Offcut]]:
    for number, piece in enumerate(request.pieces):
        yield f"/pieces/{number}", piece
    for number, offcut in enumerate(request.offcuts):
        yield f"/offcuts/{number}", offcut


def _tile_named(name: str | None, tiles: dict[str, Tile]) -> Tile | str:
    if name is None:
        if len(tiles) == 1:
            return next(iter(tiles.values()))
        return "with several tiles each piece and offcut names its tile"
    return tiles.get(name) or f"this names a tile of the request: {', '.join(list(tiles)[:8])}"


def _repeated_ids(name: str, items: Sequence[Tile | Piece | Offcut]) -> Iterator[Fault]:
    times = Counter(item.id for item in items)
    for number, item in enumerate(items):
        if times[item.id] > 1:
            yield Fault(f"/{name}/{number}/id", shown(item.id), "ids are unique within their list")


def _faults_of_saw_and_tiles(request: Request) -> Iterator[Fault]:
    units = request.units
    if request.saw.kerf > WIDEST_KERF:
        widest = _limit(WIDEST_KERF, units)
        shown_kerf = show_length(request.saw.kerf, units)
        yield Fault("/saw/kerf", shown_kerf, f"a kerf is at most {widest}")
    if request.snap_cutter and request.snap_cutter.alone and request.saw != Saw(kerf=0):
        rule = 'where a snap cutter is alone there is no saw: "saw": {"kerf": 0}'
        yield Fault("/saw", show_length(request.saw.kerf, units), rule)
    for number, tile in enumerate(request.tiles):
        for side, length in (("width", tile.width), ("height", tile.height)):
            if not SHORTEST_SIDE <= length <= LONGEST_SIDE:
                yield Fault(
                    f"/tiles/{number}/{side}",
                    show_length(length, units),
                    f"a tile's side lies {_between(units)}",
                )
        if tile.mosaic is not None:
            size = (tile.width, tile.height)
            yield from faults_of_sheet(f"/tiles/{number}/mosaic", size, tile.mosaic, units)


def _between(units: Units) -> str:
    return f"between {_limit(SHORTEST_SIDE, units, up=True)} and {_limit(LONGEST_SIDE, units)}"


def _limit(length: int, units: Units, *, up: bool = False) -> str:
    # Limits are round in millimetres; in inches they are shown as the last 1/64 within.
    step = 1 if units == "mm" else INCH // 64
    return show_length((-(-length // step) if up else length // step) * step, units)


def _faults_of_piece(place: str, piece: Piece, tile: Tile, units: Units) -> Iterator[Fault]:
    for side, length in (("width", piece.width), ("height", piece.height)):
        if not SHORTEST_SIDE <= length <= LONGEST_SIDE:
            yield Fault(
                f"{place}/{side}",
                show_length(length, units),
                f"a piece's side lies {_between(units)}",
            )
        elif max(tile.width, tile.height) > LARGEST_RATIO * length:
            yield Fault(
                f"{place}/{side}",
                show_length(length, units),
                f"a tile's side is at most {LARGEST_RATIO} times a piece's",
            )
    if tile.mosaic is not None and not (
        piece.is_plain and tile.mosaic.is_whole(piece.width, piece.height)
    ):
        size = f"{show_length(piece.width, units)} x {show_length(piece.height, units)}"
        rule = "a piece of mosaic is a box of whole chips and the joints between them: it is "
        rule += "parted along joints, and sawn once it is set out"
        yield Fault(place, size, rule)
    if problem := _outline_problem(piece, units):
        yield Fault(f"{place}/outline", f"{len(piece.shape)} corners", problem)
        return
    for number, hole in enumerate(piece.holes):
        if hole.outline is not None and not is_simple(hole.outline):
            yield Fault(f"{place}/holes/{number}/outline", "outline", "an outline crosses itself")
        elif not hole.lies_inside(piece.shape):
            yield Fault(
                f"{place}/holes/{number}",
                _shown_hole(hole, units),
                "a hole lies wholly inside its piece; what touches the edge is a notch",
            )


def _outline_problem(piece: Piece, units: Units) -> str | None:
    if not is_simple(piece.shape):
        return "an outline neither crosses nor touches itself"
    if doubled_area(piece.shape) < 0:
        return "the corners of an outline run anticlockwise"
    if box_of(piece.shape) != Rect(0, 0, piece.width, piece.height):
        width, height = show_length(piece.width, units), show_length(piece.height, units)
        return f"the outline fills its box, from 0, 0 to {width}, {height}"
    return None


def _shown_hole(hole: Hole, units: Units) -> str:
    if hole.outline is not None:
        return f"outline of {len(hole.outline)} corners"
    x, y, diameter = (show_length(length or 0, units) for length in (hole.x, hole.y, hole.diameter))
    return f"diameter {diameter} at {x}, {y}"


def _faults_of_offcut(place: str, offcut: Offcut, tile: Tile, units: Units) -> Iterator[Fault]:
    if offcut.id == NEW:
        yield Fault(f"{place}/id", shown(offcut.id), "in a plan this word means a new tile")
    size = (offcut.width, offcut.height)
    frames = [(tile.width, tile.height)]
    if tile.turn == "quarter":
        frames.append((tile.height, tile.width))
    if not any(size[0] <= width and size[1] <= height for width, height in frames):
        yield Fault(
            place,
            f"{show_length(size[0], units)} x {show_length(size[1], units)}",
            f"an offcut is no larger than its tile '{tile.id}'",
        )
    if min(size) < SHORTEST_SIDE:
        least = _limit(SHORTEST_SIDE, units, up=True)
        yield Fault(place, show_length(min(size), units), f"an offcut's side is at least {least}")
