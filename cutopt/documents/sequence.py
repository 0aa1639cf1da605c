"""The cut order: a plan as steps that somebody does at the saw, and what they come to."""

from typing import Annotated, Literal

from pydantic import Field

from cutopt.documents.base import Document, Part, Place, Size, Title
from cutopt.documents.buying import Amount
from cutopt.documents.plan import Corner, Number, Tool
from cutopt.documents.request import Name, Side

By = Literal["surface", "fence", "risk"]
#: A sheet of mosaic is parted with a knife: no fence, nothing sawn.
Guide = Literal["fence", "mark", "shape", "knife"]
MOST_ORDERED = 200_000


class Pace(Part):
    """How long things take at the saw, in seconds: assumptions, common practice, no source.

    A wet straight cut takes 45 to 90 s for 300 mm and 90 to 150 s for 600 mm; a notch 2 to 4
    minutes, a slot in a side 4 to 8, a small hole 1 to 3, a large one 4 to 10.
    """

    set_fence: Amount = Field(default=30.0, description="To set the fence and try it.")
    mark_line: Amount = Field(default=60.0, description="To mark a cut that no fence guides.")
    per_cut: Amount = Field(default=15.0, description="To take up a part and put it away.")
    per_metre: Amount = Field(default=175.0, description="Of a wet cut.")
    per_snap: Amount = Field(default=20.0, description="To score and snap, besides taking it up.")
    notch: Amount = Field(default=180.0, description="Both cuts of it, and its inside corner.")
    slot: Amount = Field(default=360.0, description="A recess in a side, or another shape.")
    small_hole: Amount = Field(default=120.0, description="A round hole up to 40 mm.")
    large_hole: Amount = Field(default=420.0, description="Any other hole.")


class Made(Part):
    """A part that a step makes: a labelled piece, something to keep, to cut again, or waste."""

    part: Number
    becomes: Literal["piece", "part", "leftover", "waste"]
    piece: Name | None = Field(default=None, description="What is written on it.")
    width: Size | None = Field(default=None, description="Across, as it lies on the bench.")
    height: Size | None = Field(default=None, description="Up, as it lies on the bench.")


class Step(Part):
    """One thing to do: a cut along the fence, a cut along a mark, or the shaping of a piece.

    The part lies face up as the cut sheet draws it. With `guide` *fence*, `edge` is the side of
    the part that lies against the fence, and `setting` the distance from there to the near
    face of the blade: what lies between fence and blade comes out exactly that wide.
    """

    number: Number
    cut_tile: Number
    tile: Name
    stock: Name
    times: Annotated[int, Field(strict=True, ge=1)] = 1
    which: Number | None = Field(
        default=None, description="Which of its equal tiles, for a tile under way."
    )
    part: Number
    cut: Number | None = Field(default=None, description="Number of the cut in its cut tile.")
    also: tuple[Number, ...] = Field(
        default=(), description="Cuts of the plan that take nothing more off: done with this one."
    )
    way: Literal["vertical", "horizontal", "slanted", "notch", "shape"]
    guide: Guide
    tool: Tool | None = Field(default=None, description="Said where there is a snap cutter.")
    setting: Size | None = None
    edge: Side | None = None
    edge_is_factory: bool | None = None
    sets_fence: bool = Field(default=False, description="The fence must be set anew for this.")
    line: tuple[tuple[Place, Place], tuple[Place, Place]] | None = Field(
        default=None, description="Ends of a cut that is marked, from the tile's lower left."
    )
    box: tuple[Place, Place, Size, Size] | None = Field(
        default=None, description="Left, bottom, width and height of the part that is marked."
    )
    corner: Corner | None = None
    length: Annotated[float, Field(ge=0, description="Millimetres sawn, each time.")] = 0.0
    seconds: Annotated[float, Field(ge=0, description="By the pace, each time.")] = 0.0
    words: str = Field(default="", description="What else to mind, or what to shape.")
    makes: tuple[Made, ...] = ()


class Workload(Part):
    """What all steps come to."""

    settings: Number = Field(description="How often the fence is set.")
    least_settings: Number | None = Field(
        default=None, description="No order of the same cuts has fewer; only by fence."
    )
    proven_fewest: bool | None = None
    cuts: Number = Field(description="Passes of the blade; a notch takes two.")
    shapings: Number = Field(description="Holes and other shapes, after the last cut.")
    metres: float = Field(ge=0, description="Sawn in all.")
    minutes: float = Field(ge=0, description="By the paces, which are assumptions.")
    most_waiting: Number = Field(description="Labelled pieces that wait for those before them.")


class Sequence(Document):
    """The steps of a plan in the order in which they are done."""

    format: Literal["cutopt.sequence/1"] = "cutopt.sequence/1"
    title: Title | None = None
    made_by: str | None = Field(default=None, description="Program and version.")
    by: By
    steps: Annotated[tuple[Step, ...], Field(max_length=MOST_ORDERED)]
    workload: Workload
    pace: Pace = Pace()
