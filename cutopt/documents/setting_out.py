"""Setting out: what may move, what must hold, and what came of looking for the best start."""

from fractions import Fraction
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Part, Place, Width
from cutopt.documents.laying import Share
from cutopt.documents.request import Side

Move = Literal["both", "sideways", "up and down", "nothing"]
Mark = Annotated[str, Field(strict=True, pattern=r"^[A-Z]{1,3}$")]

MOST_RULES = 100
MOST_LINES = 16


class LeastCut(Part):
    """How small a cut piece may be, as a share of the tile along the cut side.

    The wish is half a tile (ANSI A108.02, workmanship section 4.3, "usually no cuts smaller than
    half", read second-hand); the floor of a third is common practice, no source. Narrower than
    `sliver` is never proposed; by default that is the least strip of the saw.
    """

    wish: Share = Fraction(1, 2)
    floor: Share = Fraction(1, 3)
    sliver: Width | None = None

    @model_validator(mode="after")
    def _wish_above_floor(self) -> Self:
        if self.wish < self.floor:
            raise PydanticCustomError("least_cut", "the wish is no less than the floor")
        return self


class Line(Part):
    """A line that a joint or the middle of a tile lies on: upright at `x`, or level at `y`."""

    of: Literal["joint", "tile"]
    x: Place | None = None
    y: Place | None = None

    @model_validator(mode="after")
    def _one_line(self) -> Self:
        if (self.x is None) == (self.y is None):
            raise PydanticCustomError("line", "a line is either upright, at x, or level, at y")
        return self


class OpeningEdge(Part):
    """An edge of a window, a door or a niche: `opening` is its number in the list, from 0."""

    opening: Annotated[int, Field(strict=True, ge=0)]
    side: Side


class SettingOut(Part):
    """What may move on some surfaces, and what must hold there."""

    surfaces: Annotated[tuple[Mark, ...], Field(max_length=500)] = Field(
        default=(), description="Letters of the surfaces; all that no other entry names if empty."
    )
    move: Move = "both"
    least_cut: LeastCut = LeastCut()
    balanced: Literal["no", "sideways", "up and down", "both"] = Field(
        default="no", description="The cuts at two opposite ends are equal."
    )
    full_at: Annotated[tuple[Side, ...], Field(max_length=4)] = Field(
        default=(), description="Edges at which a full tile lies."
    )
    lines: Annotated[tuple[Line, ...], Field(max_length=MOST_LINES)] = ()
    joints_at: Annotated[tuple[OpeningEdge, ...], Field(max_length=MOST_LINES)] = ()
    courses: Literal["common", "own"] = Field(
        default="common", description="Do walls that meet at a corner share their course lines?"
    )
    joint_within: Width = Field(
        default=0, description="By how much a joint may be changed so that full tiles come out."
    )


Rules = Annotated[tuple[SettingOut, ...], Field(max_length=MOST_RULES)]
