"""The order: what to buy for a plan, why so much, and in which order it is used."""

from typing import Annotated, Literal

from pydantic import Field

from cutopt.documents.base import Document, Money, Part, Size, Width
from cutopt.documents.buying import CutKind, Material
from cutopt.documents.plan import Number
from cutopt.documents.request import Name, Title

Positive = Annotated[float, Field(ge=0)]
Probability = Annotated[float, Field(ge=0, le=1)]


class SpareRow(Part):
    """What one number of spare tiles means."""

    spares: Number
    chance_short: Probability = Field(description="Chance that so many are too few.")
    low: Probability = Field(description="Lower end of its 95 % confidence interval.")
    high: Probability
    cost: Money | None = Field(
        default=None, description="Price of the spares and, times its chance, of running short."
    )


class BreakingCut(Part):
    """A kind of cut: how often the plan makes it, and the chance that it breaks the piece."""

    kind: CutKind
    times: Number
    chance: Probability
    given: bool = Field(description="Given in the settings; otherwise an assumption.")


class Reserve(Part):
    """Spare tiles for breakage and faults: a quantile, not a percentage."""

    service_level: Probability
    spares: Number = Field(description="Enough with the chance of the service level.")
    low: Number = Field(description="Lower end of the quantile's 95 % confidence interval.")
    high: Number | None = Field(default=None, description="Upper end, where one shows.")
    exact: bool = Field(description="A closed form; otherwise simulated jobs.")
    simulated_jobs: Number = 0
    mean: Positive = Field(description="Spare tiles that a job takes in the mean.")
    cheapest: Number | None = Field(
        default=None, description="From here on one more costs more than the risk it removes."
    )
    table: tuple[SpareRow, ...]
    cuts: tuple[BreakingCut, ...] = ()


class TileOrder(Part):
    """One tile: what the plan needs, spares, boxes and money."""

    tile: Name
    width: Size
    height: Size
    material: Material
    tiles_needed: Number = Field(description="Of the plan; no reserve, no spares.")
    reserve: Reserve
    keep: Number = Field(description="To keep for later repair.")
    tiles_wanted: Number = Field(description="Needed, reserve and kept together.")
    per_box: Number | None = None
    boxes: Number | None = None
    tiles_bought: Number = Field(description="In whole boxes.")
    chance_short: Probability = Field(
        description="With all that is bought, those to keep included: chance to run short."
    )
    price: Money | None = Field(default=None, description="Of one tile.")
    cost: Money | None = None
    boxes_back: Positive | None = Field(
        default=None, description="Boxes that go back unopened, in the mean."
    )
    chance_of_box_back: Probability | None = None
    money_back: Money | None = Field(default=None, description="For those boxes, in the mean.")
    counted_naively: Number | None = Field(
        default=None, description="Tiles when every cut piece opens a new tile."
    )
    tiles_saved: int | None = None
    money_saved: Money | None = None
    area: Positive = Field(description="m2 that the pieces cover.")
    by_area: Number = Field(description="Tiles as large as that area: no cuts, no joints.")
    percent_over_area: float = Field(
        description="Tiles wanted beyond that, in per cent; customs of 3 to 15 are for comparison."
    )


class Delivery(Part):
    """Boxes that come before the work in a room begins; all of one lot, ordered at once."""

    room: Name
    tile: Name
    tiles: Number = Field(description="New tiles first cut or laid in this room.")
    boxes: Number | None = None
    tiles_delivered: Number


class TrimPiece(Part):
    """A length of profile and where it goes; cut to its longest side."""

    name: Name
    length: Size
    quantity: Number = 1
    ends: str = Field(description="Square or mitred: start, end.")
    joined_from: Number = Field(default=1, description="Lengths that are joined to make it.")


class BarsBought(Part):
    """Bars of one length."""

    length: Size
    count: Number
    price: Money | None = None


class BarCut(Part):
    """One way of cutting a bar."""

    bar: Size
    times: Number
    pieces: tuple[str, ...]
    rest: Width = Field(description="What is left of each bar.")


class TrimOrder(Part):
    """A profile: fewest bars, or least cost when every length on sale has a price."""

    profile: Name
    corners: Literal["mitre", "butt"]
    runs: tuple[TrimPiece, ...]
    bars: tuple[BarsBought, ...]
    cuts: tuple[BarCut, ...]
    bars_in_all: Number
    cost: Money | None = None
    aim: Literal["fewest bars", "least cost"]
    lower_bound: Positive = Field(description="No cutting takes fewer, or costs less.")
    proven: bool
    bars_counted_naively: Number = Field(description="A new bar for every run.")


class Use(Part):
    """Part of a material: where it goes and how the amount comes about: quantity times rate."""

    where: str
    quantity: Positive
    measure: Literal["m2", "m", "pieces"]
    rate: str = Field(description="How much for each of that, and what it follows from.")
    amount: Positive


class MaterialOrder(Part):
    """Something sold in packages."""

    material: Name
    unit: str
    uses: tuple[Use, ...]
    extra: Positive = Field(description="Share added for what stays in bucket and cartridge.")
    amount: Positive = Field(description="With that extra.")
    package: Positive
    packages: Number
    cost: Money | None = None


class WorkStep(Part):
    """One stretch of work, or a wait; hours count from the start of the work."""

    number: Number
    task: Literal["set", "wait", "protect", "grout", "seal"]
    where: str
    day: Number = Field(description="Working day on which it begins, from 1.")
    starts: Positive = Field(description="Hour of that working day.")
    hours: Positive = Field(description="Working hours; for a wait, hours of the clock.")
    area: Positive = Field(default=0.0, description="m2.")
    batches: Number | None = Field(default=None, description="Of adhesive, or sections of grout.")
    area_of_batch: Positive | None = Field(default=None, description="m2 at the most.")
    kg_of_batch: Positive | None = None
    courses_of_batch: Positive | None = None
    words: str = ""


class Assumption(Part):
    """A value that nobody gave: where it was read, or that nothing was."""

    what: str
    value: str
    source: str


class CostLine(Part):
    """What one thing costs."""

    what: str
    cost: Money


class Costs(Part):
    """Money, as far as prices are given."""

    lines: tuple[CostLine, ...]
    total: Money
    without_price: tuple[str, ...] = ()
    saved: Money | None = Field(default=None, description="Against counting naively.")


class Order(Document):
    """What to buy for a plan: tiles, trim, materials, with the plan of work."""

    format: Literal["cutopt.order/1"] = "cutopt.order/1"
    title: Title | None = None
    made_by: str | None = None
    seed: int = 0
    tiles: tuple[TileOrder, ...]
    chance_short: Probability = Field(
        description="With the reserve of each tile: chance that any of them runs short."
    )
    chance_short_as_bought: Probability = Field(description="The same with all that is bought.")
    deliveries: tuple[Delivery, ...] = ()
    trim: tuple[TrimOrder, ...] = ()
    materials: tuple[MaterialOrder, ...] = ()
    work: tuple[WorkStep, ...] = ()
    costs: Costs | None = None
    cautions: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    notes: tuple[str, ...] = ()
