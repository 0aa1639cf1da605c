"""What a request may say besides tiles and pieces: a snap cutter, and second wishes."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Part, Size, Width


class SnapCutter(Part):
    """A cutter that scores and breaks: straight cuts only, and no kerf."""

    greatest_cut: Size = Field(description="Length of the longest cut that it makes.")
    least_strip: Width = Field(description="Neither side of a snapped cut is narrower.")
    alone: Annotated[bool, Field(strict=True)] = Field(
        default=False, description="There is no saw: no notch, no hole, no slanted edge."
    )


def _each_once(wishes: tuple[str, ...]) -> tuple[str, ...]:
    if len(set(wishes)) < len(wishes):
        raise PydanticCustomError("wishes", "each wish is named once")
    return wishes


Wish = Literal[
    "fewer cuts", "larger leftovers", "fewer settings", "fewer risky cuts", "less waiting"
]
Wishes = Annotated[tuple[Wish, ...], Field(min_length=1, max_length=5), AfterValidator(_each_once)]
