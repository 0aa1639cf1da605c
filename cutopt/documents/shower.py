"""The parts of a shower: returns of niche and window, curb and seat, skirting, falls."""

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import Field, PlainSerializer, PlainValidator, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Part, Size, Width
from cutopt.documents.laying import Bond, BondKind, Joint, OrWord, Start
from cutopt.documents.request import Name
from cutopt.units import MM

RimKind = Literal["profile", "mitre", "factory edge"]
ReturnSide = Literal["sill", "head", "left", "right"]
BlockSide = Literal["inner", "outer", "left", "right"]

MOST_RUNS = 20
#: Sills, curbs and niche floors fall by 1/4 in per foot, 2 % (common practice, no source: the
#: standard asks that they slope to the drain and does not say by how much).
USUAL_PITCH = Fraction(2, 100)
#: The range for the fall of a shower floor, IRC P2709.1 (read second-hand): 1/4 to 1/2 in per
#: foot, 2 to 4 %. A setting of the user: local code decides.
LEAST_FALL, MOST_FALL = Fraction(2, 100), Fraction(4, 100)
STEEPEST = Fraction(1, 4)
_PER_FOOT = re.compile(r"\s*(\d+(?:/\d+)?|\d+\.\d+)\s*in per ft\s*")
_ONE_TO = re.compile(r"\s*1\s*:\s*(\d+(?:\.\d+)?)\s*")


def _read_slope(value: object) -> Fraction:
    problem = PydanticCustomError(
        "slope", "a slope is a number of per cent from 0 to 25, or '1/4 in per ft', or '1:50'"
    )
    try:
        slope = _slope(value)
    except (ValueError, ArithmeticError):
        raise problem from None
    if slope is None or not 0 <= slope <= STEEPEST:
        raise problem
    return slope


def _slope(value: object) -> Fraction | None:
    if isinstance(value, Fraction):
        return value
    if isinstance(value, str) and len(value) <= 30:
        if match := _PER_FOOT.fullmatch(value):
            return Fraction(match[1]) / 12
        if match := _ONE_TO.fullmatch(value):
            return 1 / Fraction(match[1])
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return None
    return (Fraction(str(value)) / 100).limit_denominator(1_000_000)


def show_slope(slope: Fraction) -> str:
    """Return a slope for people, in per cent."""
    return f"{float(slope * 100):.3g} %"


def _write_slope(slope: Fraction) -> int | float | str:
    percent = slope * 100
    if percent.denominator == 1:
        return int(percent)
    exact = Fraction(repr(float(percent))) == percent
    return float(percent) if exact else f"{slope * 12} in per ft"


Slope = Annotated[
    Fraction,
    PlainValidator(_read_slope),
    PlainSerializer(_write_slope),
    WithJsonSchema({"anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}]}),
]
#: One or two letters; a third names the surface of the part, such as the sill.
Mark = Annotated[
    str,
    Field(
        strict=True,
        pattern=r"^[A-Z]{1,2}$",
        description="One or two capital letters; a further letter names each surface.",
    ),
]


class Rim(Part):
    """How the tiles of two faces meet at an outside corner.

    A profile shows `face` on the one side and `depth` on the other, and stands proud of the
    tiles by `offset`. Mitred tiles run to the point of the corner. With a factory edge the
    tile `over` the other shows its own edge.
    """

    kind: RimKind
    over: Literal["face", "return"] | None = None
    face: Size | None = None
    depth: Size | None = None
    offset: Width = 0
    joint: Joint | None = None

    @model_validator(mode="after")
    def _fields_of_its_kind(self) -> Self:
        if (self.kind == "profile") != (self.face is not None):
            raise PydanticCustomError("rim", "a profile, and nothing else, has a face")
        if self.kind != "profile" and (self.depth is not None or self.offset):
            raise PydanticCustomError("rim", "depth and offset are for a profile")
        if self.kind != "factory edge" and self.over is not None:
            raise PydanticCustomError("rim", "over is for a factory edge")
        if self.kind == "mitre" and self.joint is not None:
            raise PydanticCustomError("rim", "mitred tiles run to the point of the corner")
        return self


_Rim = Annotated[Rim, OrWord("kind", Literal["mitre", "factory edge"])]


def _rim_of(rims: Mapping[Any, Rim], side: str) -> Rim:
    return rims.get(side) or rims.get("all") or Rim(kind="factory edge")


class Laying(Part):
    """Tile, joint and bond of a part; what is left out is that of the surface round it."""

    tile: Name | None = None
    joint: Joint | None = None
    bond: Annotated[Bond, OrWord("kind", BondKind)] | None = None
    start: Start | None = None


class Returns(Part):
    """What lines an opening: sill, head and jambs, and the back of a niche.

    The opening is measured at the ready substrate; `depth` runs from the wall to the frame, or
    to the back. The sill falls towards the room by `pitch`.
    """

    id: Mark
    depth: Size
    pitch: Slope = USUAL_PITCH
    sides: Annotated[tuple[ReturnSide, ...], Field(min_length=1, max_length=4)] = (
        "sill",
        "head",
        "left",
        "right",
    )
    laying: Laying = Laying()
    sill: Laying | None = Field(default=None, description="Where the sill has another tile.")
    back: Laying | None = Field(default=None, description="The back of a niche, set first.")
    rims: dict[Literal["sill", "head", "left", "right", "all"], _Rim] = Field(
        default_factory=dict, description="By side, or all; a factory edge unless said."
    )

    def rim_of(self, side: str) -> Rim:
        """Return how a side meets the wall."""
        return _rim_of(self.rims, side)

    def laying_of(self, side: str) -> Laying:
        """Return how a side is laid."""
        own = {"sill": self.sill, "back": self.back}.get(side)
        return own or self.laying


class Block(Part):
    """Something low with a top that is tiled: curb, seat, ledge, half wall.

    Seen from the inner side, to which the top falls; measured at the ready substrate.
    """

    kind: Literal["curb", "seat", "ledge", "half wall"]
    id: Mark
    title: Name | None = None
    length: Size
    width: Size
    height: Size
    pitch: Slope = USUAL_PITCH
    tiled: Annotated[tuple[BlockSide, ...], Field(max_length=4)] = Field(
        default=("inner", "outer"),
        description="Which upright faces are tiled; the others stand against a wall.",
    )
    laying: Laying
    top: Laying | None = Field(default=None, description="Where the top has another tile.")
    rims: dict[Literal["inner", "outer", "left", "right", "all"], _Rim] = Field(
        default_factory=dict, description="By side, or all; a factory edge unless said."
    )

    def rim_of(self, side: str) -> Rim:
        """Return how a face meets the top, and an end the long faces."""
        return _rim_of(self.rims, side)


class Skirting(Part):
    """Strips of tile along the foot of walls, their upper edge in sight."""

    kind: Literal["skirting"]
    id: Mark
    title: Name | None = None
    height: Size
    runs: Annotated[tuple[Size, ...], Field(min_length=1, max_length=MOST_RUNS)]
    laying: Laying


class Fall(Part):
    """How a floor falls to its drain, and whether its tiles are cut on the fall lines."""

    slope: Slope = LEAST_FALL
    least: Slope = LEAST_FALL
    most: Slope = MOST_FALL
    field: Literal["cut", "whole"] | None = Field(
        default=None,
        description="Cut on the fall lines or laid whole; by default cut where a point drain "
        "meets tiles of 6 in or more.",
    )


#: Tiles of this size and more do not follow a floor that falls to a point (TCNA Handbook and
#: ANSI A108.02, quoted by a contractors' association: lippage is to be expected from 6 x 6 in).
LARGE_ON_FALLS = 6 * 203_200
#: What the bed of a tile takes after it was pressed in: at least 3/32 in (2 mm), ANSI A108.5
#: (read second-hand); 3 mm is common practice, no source.
USUAL_BED = 3 * MM
