"""The parts of a job: a measured surface, what interrupts it, and how its tiles are laid."""

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Part, Place, Size, Width
from cutopt.documents.laying import WIDEST_JOINT as WIDEST_JOINT
from cutopt.documents.laying import Bond as Bond
from cutopt.documents.laying import BondKind, Joint, OrWord
from cutopt.documents.laying import Start as Start
from cutopt.documents.request import Corners, Name
from cutopt.documents.shower import Fall, Mark, Returns
from cutopt.plane import Point, Rect
from cutopt.units import MM

Meets = Literal[
    "inside corner",
    "outside corner",
    "profile",
    "floor",
    "ceiling",
    "frame",
    "fixture",
    "open",
    "mitre",
    "covered",
    "fall line",
    "drain",
]

#: What one surface may hold at the most; docs/jobs.md says why.
MOST_OPENINGS = 64
MOST_HOLES_OF_SURFACE = 100
MOST_DRAINS = 16
#: ANSI A108.02, workmanship section 4.3 (read second-hand): at least 1/8 in (3 mm) is left
#: between tile and a pipe or another object that comes through it.
CLEARANCE = 3 * MM
#: By how much a cover plate hides the edge of its hole (common practice, no source).
OVERLAP = 3 * MM


class Edge(Part):
    """What one edge of a surface or of an opening meets, and what follows from it."""

    meets: Meets
    joint: Width | None = Field(
        default=None, description="Gap between tile and edge; by default what the trade asks for."
    )
    set_back: Width | None = Field(
        default=None,
        description="What stands between edge and joint: the face of a trim profile, the tile "
        "of the other side of a corner.",
    )
    factory_edge: bool | None = Field(
        default=None, description="Must the tile show a factory edge here, or may it be sawn?"
    )


Edges = Annotated[
    dict[
        Annotated[str, Field(max_length=6)],
        Annotated[Edge, OrWord("meets", Meets)],
    ],
    Field(
        max_length=65,
        description="By side (left, right, top, bottom), by number along an outline (1 runs from "
        "the first corner to the second), or all.",
    ),
]


class Area(Part):
    """A part of a surface that takes no tile: a rectangle, or any outline."""

    title: Name | None = None
    x: Place | None = None
    y: Place | None = None
    width: Size | None = None
    height: Size | None = None
    outline: Corners | None = None
    edges: Edges = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        sizes = [size is not None for size in (self.x, self.y, self.width, self.height)]
        if any(sizes) if self.outline is not None else not all(sizes):
            raise PydanticCustomError(
                "area", "either x, y, width and height are given, or an outline"
            )
        return self

    @property
    def corners(self) -> tuple[Point, ...]:
        """Return the corners on the surface, in the order in which they were given."""
        if self.outline is not None:
            return self.outline
        return Rect(self.x or 0, self.y or 0, self.width or 0, self.height or 0).corners


class Opening(Area):
    """A window, a door or the mouth of a niche."""

    kind: Literal["window", "door", "niche"]
    returns: Returns | None = Field(
        default=None, description="What lines the opening: sill, head, jambs, back."
    )


class Obstacle(Area):
    """Something that stands in the way: tiles end in front of it."""

    kind: Literal["bath", "tray", "column", "cupboard", "other"]
    part: Mark | None = Field(
        default=None,
        description="The curb or seat of the room that stands there and lists its own joints.",
    )


class Rounded(Part):
    """Something round (`diameter`) or rectangular (`width`, `height`) about a centre."""

    x: Place
    y: Place
    diameter: Size | None = None
    width: Size | None = None
    height: Size | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        _round_or_rectangular(self.diameter, self.width, self.height)
        return self

    @property
    def box(self) -> Rect:
        """Return the rectangle that holds it."""
        width, height = self.diameter or self.width or 0, self.diameter or self.height or 0
        return Rect(self.x - width // 2, self.y - height // 2, width, height)


def _round_or_rectangular(diameter: int | None, width: int | None, height: int | None) -> None:
    sizes = [width is not None, height is not None]
    if any(sizes) if diameter is not None else not all(sizes):
        raise PydanticCustomError("rounded", "either a diameter is given, or width and height")


class Plate(Part):
    """The plate that covers the edge of a hole: `diameter`, or `width` and `height`."""

    diameter: Size | None = None
    width: Size | None = None
    height: Size | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        _round_or_rectangular(self.diameter, self.width, self.height)
        return self


class Through(Rounded):
    """What comes through the tile; the hole is larger by the clearance on every side."""

    kind: Literal["valve", "pipe", "socket", "other"]
    title: Name | None = None
    clearance: Width = CLEARANCE
    plate: Plate | None = None
    overlap: Width = Field(
        default=OVERLAP, description="By how much the plate covers the tile all round."
    )


class Drain(Rounded):
    """A drain in a floor: a point (square or round) or a line."""

    kind: Literal["point", "linear"]
    title: Name | None = None
    joint: Width | None = Field(default=None, description="By default the joint of the surface.")


class Surface(Part):
    """A wall or a floor as it was measured, and how it is tiled.

    Its shape is given in one of three ways: `width` and `height`; `bottom` and `top` (widths)
    with `left` and `right` (heights); or an `outline`. x runs to the right, y up (on a floor:
    away from the reader), seen from the room.
    """

    id: Annotated[
        str,
        Field(
            strict=True,
            pattern=r"^[A-Z]{1,3}$",
            description="One to three capital letters: the first part of every piece's label.",
        ),
    ]
    title: Name | None = None
    kind: Literal["wall", "floor"] = "wall"
    width: Size | None = None
    height: Size | None = None
    bottom: Size | None = None
    top: Size | None = None
    left: Size | None = None
    right: Size | None = None
    outline: Corners | None = None
    edges: Edges = Field(default_factory=dict)
    openings: Annotated[tuple[Opening, ...], Field(max_length=MOST_OPENINGS)] = ()
    obstacles: Annotated[tuple[Obstacle, ...], Field(max_length=MOST_OPENINGS)] = ()
    holes: Annotated[tuple[Through, ...], Field(max_length=MOST_HOLES_OF_SURFACE)] = ()
    drains: Annotated[tuple[Drain, ...], Field(max_length=MOST_DRAINS)] = ()
    tile: Name | None = Field(default=None, description="May be left out with a single tile.")
    joint: Joint
    bond: Annotated[Bond, OrWord("kind", BondKind)] = Bond()
    start: Start | None = None
    thickness: Size | None = Field(
        default=None, description="Of the wall: how deep a niche or a window may be."
    )
    fall: Fall | None = Field(default=None, description="Of a floor, to its drain.")

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        ways = [
            [self.width, self.height],
            [self.bottom, self.top, self.left, self.right],
            [self.outline],
        ]
        begun = [way for way in ways if any(size is not None for size in way)]
        if len(begun) != 1 or any(size is None for size in begun[0]):
            raise PydanticCustomError(
                "shape",
                "a surface is measured as width and height, or as bottom, top, left and right, "
                "or as an outline",
            )
        return self

    @property
    def corners(self) -> tuple[Point, ...]:
        """Return the corners in the order in which they were given.

        Out of square: the bottom edge is level and the left side plumb; widths are taken
        level, heights plumb, so the upper right corner stands at (top, right).
        """
        if self.outline is not None:
            return self.outline
        if self.width is not None and self.height is not None:
            return Rect(0, 0, self.width, self.height).corners
        sizes: tuple[Any, ...] = (self.bottom, self.top, self.left, self.right)
        bottom, top, left, right = sizes
        return ((0, 0), (bottom, 0), (top, right), (0, left))

    @property
    def parts(self) -> tuple[tuple[str, Area | Through | Drain], ...]:
        """Return everything that interrupts the surface, each with its place in it."""
        parts: list[tuple[str, Area | Through | Drain]] = []
        parts += [(f"/openings/{at}", part) for at, part in enumerate(self.openings)]
        parts += [(f"/obstacles/{at}", part) for at, part in enumerate(self.obstacles)]
        parts += [(f"/holes/{at}", part) for at, part in enumerate(self.holes)]
        parts += [(f"/drains/{at}", part) for at, part in enumerate(self.drains)]
        return tuple(parts)
