"""The plan: which piece comes out of which tile, cut by cut, and what that takes."""

from typing import Annotated, Literal

from pydantic import Field

from cutopt.documents.base import Document, Part, Place, Size
from cutopt.documents.request import (
    MOST_OFFCUTS,
    MOST_PIECES,
    MOST_TILES,
    Money,
    Name,
    Side,
    Sides,
    Wishes,
)

Corner = Literal["bottom-left", "bottom-right", "top-left", "top-right"]
Tool = Literal["saw", "snap cutter"]
Number = Annotated[int, Field(strict=True, ge=0)]
Degrees = Literal[0, 90, 180, 270]

Price = Annotated[int, Field(strict=True, ge=0, le=10**18)]

MOST_STEPS = 20_000
MOST_CUT_TILES = 200_000


class Certificate(Part):
    """Prices that prove a lower bound; docs/certificate.md says how.

    At these prices nothing that can be cut from one tile is worth more than the tile. So the
    tiles of any plan, with the offcuts that it takes, are worth no less than all pieces together.
    """

    scale: Annotated[int, Field(strict=True, ge=1, le=10**18)] = Field(
        description="The price of one new tile, in the same parts as all other prices."
    )
    proves: Number = Field(description="Fewest new tiles that these prices prove.")
    pieces: Annotated[dict[Name, Price], Field(max_length=MOST_PIECES)] = Field(
        description="Price of one piece, by id; a piece left out is worth nothing, "
        "or one tile if it is a full tile that no offcut can be."
    )
    offcuts: Annotated[dict[Name, Price], Field(max_length=MOST_OFFCUTS)] = Field(
        default={}, description="Price of one offcut, by id; one left out costs nothing."
    )


class JointCertificate(Part):
    """Prices that prove what tiles cost together, where pieces may be cut from any of several.

    Nothing that can be cut from a tile is worth more than `tiles` says of it. A tile of which there
    is any number is worth no more than it costs; one of which there are few may be.
    """

    scale: Annotated[int, Field(strict=True, ge=1, le=10**18)] = Field(
        description="What one step of the objective is worth: one tile, or the largest amount "
        "of money of which the price of every tile is a multiple."
    )
    tiles: Annotated[dict[Name, Price], Field(max_length=MOST_TILES)] = Field(
        description="Price of one new tile, by id."
    )
    pieces: Annotated[dict[Name, Price], Field(max_length=MOST_PIECES)] = Field(
        description="Price of one piece, by id; a piece left out is worth nothing, "
        "or what its tile costs if it is a full tile without a choice that no offcut can be."
    )
    offcuts: Annotated[dict[Name, Price], Field(max_length=MOST_OFFCUTS)] = Field(
        default={}, description="Price of one offcut, by id; one left out costs nothing."
    )


class Total(Part):
    """What one tile comes to; what may be left out is not claimed."""

    tile: Name
    tiles_needed: Number = Field(description="Full tiles and new cut tiles; no reserve, no spares.")
    lower_bound: Number = Field(description="No plan under the same rules needs fewer new tiles.")
    proven_minimal: bool
    full_tiles: Number
    cut_tiles: Number = Field(description="New tiles that are cut; offcuts are not among them.")
    pieces: Number | None = Field(default=None, description="Pieces in all, full tiles included.")
    cut_pieces: Number | None = Field(default=None, description="Pieces that are no full tile.")
    offcuts_used: Number | None = Field(default=None, description="Offcuts taken from the shelf.")
    counted_naively: Number | None = Field(
        default=None, description="Tiles when every cut piece opens a new tile."
    )
    cuts: Number | None = Field(
        default=None, description="Straight cuts and notches over all tiles of this kind."
    )
    boxes: Number | None = Field(default=None, description="Boxes that hold the tiles needed.")
    cost: Money | None = Field(default=None, description="Price of the tiles needed.")
    chosen: Literal[True] | None = Field(
        default=None, description="Pieces chose it among others: `together` says what is least."
    )
    certificate: Certificate | None = Field(
        default=None, description="Why no plan can do with less, for `cutopt check --bound`."
    )


class Together(Part):
    """What tiles come to together, where pieces may be cut from any of several.

    For each of them alone `Total.lower_bound` says what its own pieces take; what is least over
    all of them is said here: tiles, or their cost.
    """

    tiles: Annotated[tuple[Name, ...], Field(min_length=2, max_length=MOST_TILES)]
    objective: Literal["tiles", "cost"]
    needed: Money = Field(description="New tiles over all of them, or what they cost.")
    lower_bound: Money = Field(description="No plan under the same rules needs less.")
    proven_minimal: bool
    certificate: JointCertificate | None = Field(
        default=None, description="Why no plan can do with less, for `cutopt check --bound`."
    )


class Placement(Part):
    """Where a piece lies on the face of its tile, and which part it is of the cut-up tile."""

    piece: Name
    x: Place
    y: Place
    turn: Degrees
    part: Number | None = Field(default=None, description="The part that becomes this piece.")


class Cut(Part):
    """One cut: a part becomes up to two parts, the blade takes its kerf between them.

    A *vertical* cut takes the strip from `at` to `at` + kerf in x and makes the left and the
    right part; a *horizontal* one the same in y, lower and upper part. A *slanted* cut runs
    along the `line` from its first point to its second; the blade takes its kerf to the right of
    it, and the parts made are the one to the left and the one beyond the kerf. A *notch* takes the
    corner of a part, `width` x `height`, kerf included; it makes the part with the notch and
    what is left of the corner. A part that the blade uses up is null. Part 0 is the whole
    tile; each cut numbers its parts onwards.
    """

    part: Number
    way: Literal["vertical", "horizontal", "slanted", "notch"]
    at: Place | None = None
    line: tuple[tuple[Place, Place], tuple[Place, Place]] | None = None
    corner: Corner | None = None
    width: Size | None = None
    height: Size | None = None
    makes: tuple[Number | None, Number | None]
    tool: Tool | None = Field(default=None, description="Said where there is a snap cutter.")
    measured_from: Side | None = Field(
        default=None, description="Side of the part that a snapped cut is measured from."
    )


class Leftover(Part):
    """A part that no piece needs and that is large enough to keep."""

    part: Number
    x: Place
    y: Place
    width: Size
    height: Size
    factory_edges: Sides = ()


class CutTile(Part):
    """One way of cutting a tile or an offcut, done `count` times."""

    number: Number
    tile: Name
    stock: Name = Field(description='"new", or the id of the offcut that is cut.')
    count: Annotated[int, Field(strict=True, ge=1)] = 1
    width: Size
    height: Size
    factory_edges: Sides = ()
    placements: Annotated[tuple[Placement, ...], Field(min_length=1)]
    cuts: Annotated[tuple[Cut, ...], Field(max_length=MOST_STEPS)] | None = None
    leftovers: tuple[Leftover, ...] = ()


class Plan(Document):
    """The answer to a request; `cutopt check` replays it."""

    format: Literal["cutopt.plan/1"] = "cutopt.plan/1"
    title: str | None = None
    made_by: str | None = Field(default=None, description="Program and version.")
    seed: int | None = None
    stopped: Literal["done", "time", "cancelled"] | None = Field(
        default=None, description="Why the search ended."
    )
    totals: Annotated[tuple[Total, ...], Field(min_length=1)]
    together: Annotated[tuple[Together, ...], Field(max_length=MOST_TILES)] | None = Field(
        default=None, description="Tiles that pieces may choose from."
    )
    preferred: Wishes | None = Field(
        default=None, description="Wishes that were followed in turn; none of them is proven."
    )
    cut_tiles: Annotated[tuple[CutTile, ...], Field(max_length=MOST_CUT_TILES)]
    notes: tuple[str, ...] = Field(default=(), description="What a reader must know to use it.")

    @property
    def is_proven(self) -> bool:
        """Tell whether no plan takes less: of each tile, and of tiles that are chosen from."""
        together = all(one.proven_minimal for one in self.together or ())
        return together and all(total.proven_minimal for total in self._alone)

    @property
    def gap(self) -> float:
        """Return how much more the plan takes than its bounds, as a share of what it takes."""
        needed = sum(total.tiles_needed for total in self._alone)
        bound = sum(total.lower_bound for total in self._alone)
        gaps = [(needed - bound) / needed if needed else 0.0]
        for one in self.together or ():
            gaps.append(float((one.needed - one.lower_bound) / one.needed) if one.needed else 0.0)
        return max(gaps)

    @property
    def _alone(self) -> list[Total]:
        chosen_from = {name for one in self.together or () for name in one.tiles}
        return [total for total in self.totals if total.tile not in chosen_from]
