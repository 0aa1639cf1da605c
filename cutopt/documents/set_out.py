"""What looking for the best start came to: proposals, what each gains and gives up, the proof."""

from typing import Annotated, Literal

from pydantic import Field

from cutopt.documents.base import Document, Part, Place, Size, Title, Width
from cutopt.documents.request import Name
from cutopt.documents.setting_out import Mark


class SurfaceStart(Part):
    """Where the first tile of a surface lies: what the job holds as its `start`."""

    surface: Mark
    x: Place
    y: Place


class Count(Part):
    """What one start comes to."""

    name: Name
    starts: tuple[SurfaceStart, ...]
    tiles_needed: Annotated[int, Field(ge=0)]
    smallest_cut: Width | None = Field(
        default=None, description="Of the cuts that the start decides; none when it decides none."
    )
    smallest_share: float | None = Field(
        default=None, description="The same as a share of the tile along the cut side."
    )
    notched: Annotated[int, Field(ge=0, description="Pieces with a notch or a bite.")]
    aligned: Annotated[int, Field(ge=0, description="Edges of openings that a joint lies on.")]
    opening_edges: Annotated[int, Field(ge=0)]
    keeps_rules: bool = True


class Proposal(Count):
    """A start that is proposed."""

    lower_bound: Annotated[int, Field(ge=0, description="No plan from this start takes fewer.")]
    proven_minimal: bool = Field(description="Whether no plan from this start takes fewer tiles.")
    cuts: Annotated[int, Field(ge=0, description="Straight cuts and notches of its plan.")]
    sentence: str


class JointChange(Part):
    """A joint, within what the job allows, with which full tiles come out along one direction."""

    surface: Mark
    direction: Literal["sideways", "up and down"]
    joint: Size
    instead_of: Size
    tiles: Annotated[int, Field(ge=1, description="Full tiles in a row.")]
    start: Place
    sentence: str


class Eased(Part):
    """A surface none of whose starts keeps the floor for cuts, and what is asked instead."""

    surface: Mark
    floor: float


class SetOut(Document):
    """Proposals for where to begin, the best first."""

    format: Literal["cutopt.set-out/1"] = "cutopt.set-out/1"
    title: Title | None = None
    seed: int = 0
    stopped: Literal["done", "time", "cancelled", "too many boxes"] = "done"
    free: tuple[Name, ...] = Field(description="What may move.")
    tiles_needed: Annotated[int, Field(ge=0)]
    lower_bound: Annotated[
        int, Field(ge=0, description="No start within the rules takes fewer tiles.")
    ]
    proven_best: bool
    proposals: tuple[Proposal, ...]
    customs: tuple[Count, ...] = Field(
        default=(), description="Common ways to begin, counted for comparison."
    )
    tried: tuple[Mark, ...] = Field(
        default=(),
        description="Surfaces tried at some starts only; the bound goes by their area.",
    )
    eased: tuple[Eased, ...] = ()
    joints: tuple[JointChange, ...] = ()
