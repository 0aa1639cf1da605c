"""What somebody says at the saw: one entry of a job's history, as it comes from a phone."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from cutopt.documents import Side

_Number = Annotated[int, Field(strict=True, ge=0, le=10_000_000)]
_Text = Annotated[str, Field(strict=True, max_length=200)]
_Length = Annotated[str, Field(strict=True, min_length=1, max_length=40)]
_Copies = Annotated[tuple[Annotated[int, Field(strict=True, ge=1)], ...], Field(max_length=20_000)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class DoneSaid(_Part):
    """A step was done on some of the equal tiles; `cuts` are the cuts that this completes.

    A first stroke of two, and a shaping, complete none; `whole` is for a tile that is not cut.
    """

    kind: Literal["done"] = "done"
    step: Annotated[str, Field(strict=True, max_length=60)]
    cut_tile: _Number
    which: _Copies
    cuts: Annotated[tuple[_Number, ...], Field(max_length=1_000)] = ()
    whole: bool = False


class UsableSaid(_Part):
    """A rectangle that can still be used, in the job's units."""

    width: _Length
    height: _Length
    factory_edges: Annotated[tuple[Side, ...], Field(max_length=4)] = ()


class BrokenSaid(_Part):
    """A part broke, or an offcut on the shelf, or a tile out of the box.

    `runs` are two points of the break, from the lower left corner of what broke.
    """

    kind: Literal["broken"] = "broken"
    cut_tile: _Number | None = None
    which: Annotated[int, Field(strict=True, ge=1)] = 1
    part: _Number | None = None
    tile: _Text | None = None
    offcut: _Text | None = None
    where: _Text = ""
    runs: tuple[tuple[_Length, _Length], tuple[_Length, _Length]] | None = None
    usable: Annotated[tuple[UsableSaid, ...], Field(max_length=20)] = ()


class MeasuredSaid(_Part):
    """A piece is wanted in another size."""

    kind: Literal["measured"] = "measured"
    piece: _Text
    width: _Length
    height: _Length


class CountedSaid(_Part):
    """So many whole tiles are really there."""

    kind: Literal["counted"] = "counted"
    tile: _Text
    tiles: Annotated[int, Field(strict=True, ge=0, le=1_000_000)]


class LaidSaid(_Part):
    """Whole tiles hang where they belong."""

    kind: Literal["laid"] = "laid"
    piece: _Text
    times: Annotated[int, Field(strict=True, ge=1, le=1_000_000)] = 1


class UndoSaid(_Part):
    """An entry is taken back, and with it the plan that was made for it."""

    kind: Literal["undo"] = "undo"
    entry: _Text


class PlanSaid(_Part):
    """A new plan came into force; only the service says so. Both are empty when nothing is left."""

    kind: Literal["plan"] = "plan"
    request: str | None = None
    plan: str | None = None


Word = Annotated[
    DoneSaid | BrokenSaid | MeasuredSaid | CountedSaid | LaidSaid | UndoSaid,
    Field(discriminator="kind"),
]


class Entry(_Part):
    """One entry as a phone sends it: its id is made there, so that it may be sent again."""

    id: Annotated[str, Field(strict=True, pattern=r"^[0-9a-zA-Z-]{8,60}$")]
    at: Annotated[str, Field(strict=True, max_length=40, pattern=r"^[0-9TZ:.+ -]*$")] = ""
    said: Word


class Kept(_Part):
    """An entry as it is kept."""

    number: int
    id: str
    made: float
    said: Annotated[
        DoneSaid | BrokenSaid | MeasuredSaid | CountedSaid | LaidSaid | UndoSaid | PlanSaid,
        Field(discriminator="kind"),
    ]
    refused: str | None = None


class Sent(_Part):
    """What a phone sends at once."""

    entries: Annotated[tuple[Entry, ...], Field(max_length=500)]
