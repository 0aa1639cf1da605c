"""What was done at the saw, mark after mark: nothing is overwritten, undoing is a mark too."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Document, Part, Place, Size, Title, reject
from cutopt.documents.plan import Number, Plan
from cutopt.documents.request import (
    MOST_OFFCUTS,
    MOST_UNITS,
    Corners,
    Hole,
    Name,
    Offcut,
    Request,
    Sides,
)
from cutopt.errors import Fault

MOST_MARKS = 100_000
MOST_USABLE = 20

Positive = Annotated[int, Field(strict=True, ge=1, le=MOST_UNITS)]
#: When it was marked; kept for people, never looked at.
Time = Annotated[str, Field(strict=True, max_length=40, pattern=r"^[0-9TZ:.+ -]*$")]


class Noted(Part):
    """What every mark may carry."""

    at: Time | None = Field(default=None, description="Date and time (RFC 3339).")
    note: Title | None = None


class Done(Noted):
    """A cut was made, or all cuts of a tile; or whole tiles were laid."""

    kind: Literal["done"] = "done"
    cut_tile: Number | None = Field(default=None, description="Number of the cut tile.")
    which: Positive = Field(default=1, description="Which of its equal tiles.")
    cut: Positive | None = Field(
        default=None, description="Number of the cut in its cut tile; all that are left when out."
    )
    piece: Name | None = Field(default=None, description="A piece that is a whole tile, as laid.")
    times: Positive = Field(default=1, description="How many whole tiles were laid.")

    @model_validator(mode="after")
    def _one_thing(self) -> Self:
        if (self.cut_tile is None) == (self.piece is None):
            raise PydanticCustomError("done", "a mark of work done names a cut tile or a piece")
        return self


class Usable(Part):
    """A rectangle that can still be used of what broke, as measured."""

    width: Size
    height: Size
    factory_edges: Sides = Field(
        default=(), description="As it lies on the face of its tile, the tile as drawn."
    )


class Broken(Noted):
    """A part broke: on the bench, finished, or a tile before its first cut (part 0)."""

    kind: Literal["broken"] = "broken"
    cut_tile: Number | None = None
    which: Positive = 1
    part: Number | None = Field(default=None, description="The part that broke.")
    tile: Name | None = Field(default=None, description="A tile out of the box, of no cut tile.")
    offcut: Name | None = Field(default=None, description="An offcut on the shelf.")
    where: Title | None = Field(default=None, description="Where the break runs, in words.")
    runs: tuple[tuple[Place, Place], tuple[Place, Place]] | None = Field(
        default=None,
        description="Two points of a straight break, from the lower left corner of what broke, "
        "as it is drawn: what is usable beside it is worked out.",
    )
    usable: Annotated[tuple[Usable, ...], Field(max_length=MOST_USABLE)] = Field(
        default=(), description="What is still usable, as measured; counts before `runs`."
    )

    @model_validator(mode="after")
    def _one_thing(self) -> Self:
        named = [self.cut_tile is not None, self.tile is not None, self.offcut is not None]
        if sum(named) != 1 or (self.cut_tile is None) != (self.part is None):
            rule = "a break names a part of a cut tile, a tile out of the box, or an offcut"
            raise PydanticCustomError("broken", "{rule}", {"rule": rule})
        if self.runs is not None and self.runs[0] == self.runs[1]:
            rule = "a break runs from one point to another"
            raise PydanticCustomError("runs", "{rule}", {"rule": rule})
        return self


class Measured(Noted):
    """A piece was measured anew: it is wanted in another size, as it will hang."""

    kind: Literal["measured"] = "measured"
    piece: Name
    width: Size
    height: Size
    factory_edges: Sides | None = Field(default=None, description="Unchanged when left out.")
    outline: Corners | None = None
    holes: Annotated[tuple[Hole, ...], Field(max_length=16)] = ()


class Counted(Noted):
    """Stock was counted: what is really there, untouched; it replaces what was reckoned."""

    kind: Literal["counted"] = "counted"
    tile: Name
    tiles: Annotated[int, Field(strict=True, ge=0, le=MOST_UNITS)] | None = Field(
        default=None, description="Whole tiles in hand, neither begun nor laid."
    )
    offcuts: Annotated[tuple[Offcut, ...], Field(max_length=MOST_OFFCUTS)] | None = Field(
        default=None, description="Offcuts on the shelf; those of tiles under way not among them."
    )


class Replanned(Noted):
    """A new plan came into force for what was left to do; none when nothing was."""

    kind: Literal["replanned"] = "replanned"
    request: Request | None = None
    plan: Plan | None = None


class Undone(Noted):
    """A mark is taken back; undoing an undoing brings its mark back."""

    kind: Literal["undone"] = "undone"
    mark: Positive = Field(description="Number of the mark, the first is 1.")


Mark = Annotated[
    Done | Broken | Measured | Counted | Replanned | Undone, Field(discriminator="kind")
]


class Progress(Document):
    """The history of the work on one plan; it only ever grows."""

    format: Literal["cutopt.progress/1"] = "cutopt.progress/1"
    title: Title | None = None
    marks: Annotated[tuple[Mark, ...], Field(max_length=MOST_MARKS)] = ()

    @model_validator(mode="after")
    def _undoes_what_was(self) -> Self:
        reject(
            Fault(f"/marks/{at}/mark", str(mark.mark), "an undoing names an earlier mark")
            for at, mark in enumerate(self.marks)
            if isinstance(mark, Undone) and mark.mark > at
        )
        return self

    def with_mark(self, mark: Mark) -> "Progress":
        """Return the history with one more mark."""
        return self.model_copy(update={"marks": (*self.marks, mark)})

    @property
    def in_force(self) -> tuple[tuple[int, Mark], ...]:
        """Return the marks that count, with their numbers: neither undone nor an undoing."""
        gone: set[int] = set()
        for number in range(len(self.marks), 0, -1):
            mark = self.marks[number - 1]
            if isinstance(mark, Undone) and number not in gone:
                gone.add(mark.mark)
        return tuple(
            (number, mark)
            for number, mark in enumerate(self.marks, start=1)
            if number not in gone and not isinstance(mark, Undone)
        )
