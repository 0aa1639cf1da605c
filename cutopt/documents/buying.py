"""What `cutopt order` may be told: how sure, how fragile, what is on sale, how fast the work goes.

Every value has a default, and every default names where it was read or that nothing was: see
docs/order.md and the `assumptions` of the order that comes back.
"""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema
from pydantic_core import PydanticCustomError

from cutopt.documents.base import Money, Name, Part, Size, Width
from cutopt.units import MM

Material = Literal["ceramic", "porcelain", "stone"]
#: What a piece goes through; `whole` is a tile that is laid uncut.
CutKind = Literal[
    "whole",
    "straight",
    "slanted",
    "notch",
    "u-shape",
    "round hole",
    "box hole",
    "narrow strip",
    "long thin",
]

MOST_PROFILES = 20
MOST_RUNS = 2_000
MOST_BARS = 20
MOST_JOBS = 200_000


def _read_number(value: object, rule: str) -> float:
    problem = PydanticCustomError("number", "{rule}", {"rule": rule})
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise problem
    try:
        return float(value)
    except (OverflowError, ValueError):
        raise problem from None


def _read_chance(value: object) -> float:
    rule = "a chance is a number from 0 to below 1, such as 0.05 for 5 in 100"
    chance = _read_number(value, rule)
    if chance == 1:
        rule = "what breaks every time can never be cut: a chance is below 1"
    if not 0 <= chance < 1:
        raise PydanticCustomError("chance", "{rule}", {"rule": rule})
    return chance


def _read_share(value: object) -> float:
    rule = "a share is a number from 0 to 1"
    share = _read_number(value, rule)
    if not 0 <= share <= 1:
        raise PydanticCustomError("share", "{rule}", {"rule": rule})
    return share


def _read_level(value: object) -> float:
    rule = "a service level lies above 0 and below 1, such as 0.95; no reserve is enough for 100 %"
    level = _read_number(value, rule)
    if not 0 < level < 1:
        raise PydanticCustomError("level", "{rule}", {"rule": rule})
    return level


def _read_amount(value: object) -> float:
    rule = "this is a number above 0 and at most 100,000"
    amount = _read_number(value, rule)
    if not 0 < amount <= 100_000:
        raise PydanticCustomError("amount", "{rule}", {"rule": rule})
    return amount


def _whole_where_it_is(number: float) -> int | float:
    return int(number) if number == int(number) else number


Chance = Annotated[
    float,
    BeforeValidator(_read_chance),
    PlainSerializer(_whole_where_it_is),
    WithJsonSchema({"type": "number", "minimum": 0, "exclusiveMaximum": 1}),
]
Share = Annotated[
    float,
    BeforeValidator(_read_share),
    PlainSerializer(_whole_where_it_is),
    WithJsonSchema({"type": "number", "minimum": 0, "maximum": 1}),
]
Level = Annotated[
    float,
    BeforeValidator(_read_level),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}),
]
Amount = Annotated[
    float,
    BeforeValidator(_read_amount),
    PlainSerializer(_whole_where_it_is),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": 100_000}),
]
Few = Annotated[int, Field(strict=True, ge=0, le=100_000)]
Some = Annotated[int, Field(strict=True, ge=1, le=100_000)]
Mark = Annotated[str, Field(strict=True, pattern=r"^[A-Z]{1,3}$")]


class Breakage(Part):
    """Chance that a piece breaks, for each cut of a kind; what is left out follows the material."""

    whole: Chance | None = Field(default=None, description="A tile that is laid uncut.")
    straight: Chance | None = None
    slanted: Chance | None = Field(default=None, description="A slanted cut or a mitre.")
    notch: Chance | None = Field(default=None, description="An L: one inside corner.")
    u_shape: Chance | None = Field(default=None, description="A recess within one side.")
    round_hole: Chance | None = None
    box_hole: Chance | None = None
    narrow_strip: Chance | None = Field(default=None, description="A straight cut below 25 mm.")
    long_thin: Chance | None = Field(
        default=None, description="Besides its cuts: a leg at least six times as long as wide."
    )


class TileToBuy(Part):
    """How one tile breaks and is sold; without `tile` it stands for every tile not named."""

    tile: Name | None = None
    material: Material = "porcelain"
    breakage: Breakage = Breakage()
    faulty: Chance = Field(
        default=0.02, description="Chance that a tile out of the box has a visible fault."
    )
    fault_hidden: Share = Field(
        default=0.5, description="Share of faulty tiles that still serve to be cut up."
    )
    keep: Few = Field(default=1, description="Tiles to keep for later repair.")
    per_box: Some | None = Field(default=None, description="By default that of the request.")
    price: Money | None = Field(default=None, description="Price of one tile.")
    unopened_boxes_go_back: bool = True
    thickness: Size | None = Field(default=None, description="For the joints; by default 8 mm.")
    joint: Size | None = Field(
        default=None, description="Between tiles, when no job says so; by default 2 mm."
    )


class BarOnSale(Part):
    """A length in which a profile is sold."""

    length: Size
    price: Money | None = None


class MeasuredRun(Part):
    """A stretch of profile measured by hand; `mitres` counts its mitred ends."""

    name: Name
    length: Size
    quantity: Some = 1
    mitres: Annotated[int, Field(strict=True, ge=0, le=2)] = 0


class Profile(Part):
    """A trim profile: where it runs, how its corners meet, in which bars it is sold."""

    id: Name
    surfaces: Annotated[tuple[Mark, ...], Field(max_length=MOST_RUNS)] | None = Field(
        default=None,
        description="Surfaces of the job whose profiles it is; by default those that no other "
        "profile names, or none when runs are given.",
    )
    runs: Annotated[tuple[MeasuredRun, ...], Field(max_length=MOST_RUNS)] = ()
    bars: Annotated[tuple[BarOnSale, ...], Field(min_length=1, max_length=MOST_BARS)] = (
        BarOnSale(length=2_500 * MM),
    )
    corners: Literal["mitre", "butt"] = "mitre"
    face: Width = Field(default=10 * MM, description="What a mitred end needs beyond its run.")
    kerf: Width = 2 * MM
    joins: bool = Field(default=False, description="May a run longer than a bar be joined?")


class Notch(Part):
    """The teeth of a trowel: depth and width of a notch, width of the tooth beside it."""

    depth: Size
    width: Size
    spacing: Size


class Adhesive(Part):
    """Adhesive, by the notch that spreads it."""

    notch: Notch | None = Field(default=None, description="By default after the tile's size.")
    angle: Amount = Field(default=45.0, description="Of the trowel to the wall, in degrees.")
    powder: Amount = Field(default=1.2, description="kg of dry powder per m2 and mm of bed.")
    back_butter: bool | None = Field(default=None, description="Usually from 450 mm upwards.")
    back_butter_bed: Amount = Field(default=1.0, description="mm of bed on the tile's back.")
    extra: Share = 0.05
    package: Amount = Field(default=25.0, description="kg in a bag.")
    price: Money | None = Field(default=None, description="Price of a bag.")


class Grout(Part):
    """Grout, by the joints that it fills."""

    density: Amount = Field(default=1.65, description="kg of dry grout per litre of joint.")
    depth: Size | None = Field(default=None, description="By default the tile's thickness.")
    extra: Share = 0.10
    package: Amount = Field(default=5.0, description="kg in a bag.")
    price: Money | None = Field(default=None, description="Price of a bag.")
    colour: Name = "one colour"
    colours: dict[Mark, Name] = Field(default_factory=dict, description="By surface.")


class Sealant(Part):
    """Sealant, along changes of plane and perimeters."""

    depth: Size | None = Field(default=None, description="By default as deep as the joint is wide.")
    fillet: bool = Field(default=False, description="A triangle takes half as much.")
    extra: Share = 0.15
    package: Amount = Field(default=310.0, description="ml in a cartridge.")
    price: Money | None = Field(default=None, description="Price of a cartridge.")


class ByPiece(Part):
    """Something counted per tile or per m2 and sold in packs."""

    per_tile: Amount | None = None
    per_m2: Amount | None = None
    package: Amount = 1.0
    price: Money | None = Field(default=None, description="Price of a pack.")


class Work(Part):
    """How fast the work goes and what it waits for; planning values, not commitments."""

    people: Literal[1, 2] = 1
    second_person: Share = Field(default=0.8, description="What a second person adds.")
    hours_per_day: Amount = 8.0
    wall_pace: Amount = Field(default=0.9, description="m2 an hour for one person.")
    floor_pace: Amount = Field(default=2.0, description="m2 an hour for one person.")
    mosaic_pace: Amount = Field(default=1.0, description="m2 an hour for one person.")
    minutes_per_cut: Amount = 2.0
    open_minutes: Amount = Field(default=20.0, description="Open time of the adhesive.")
    grout_pace: Amount = Field(default=8.0, description="m2 an hour for one person.")
    grout_minutes: Amount = Field(default=30.0, description="Working time of the grout.")
    hours_to_grout: Amount = Field(default=24.0, description="From setting to grouting.")
    hours_to_seal: Amount = Field(default=24.0, description="From grouting to sealing.")
    first: Literal["floors", "walls"] = "floors"


class OrderSettings(Part):
    """What an order is made by."""

    service_level: Level = Field(
        default=0.95, description="Chance that the job does not run short of a tile."
    )
    simulated_jobs: Annotated[int, Field(strict=True, ge=1_000, le=MOST_JOBS)] = 20_000
    cost_of_running_short: Money | None = Field(
        default=None, description="A second delivery, the wait, another shade: for the cost view."
    )
    tiles: Annotated[tuple[TileToBuy, ...], Field(max_length=60)] = ()
    delivery: Literal["job", "room"] = "job"
    trim: Annotated[tuple[Profile, ...], Field(max_length=MOST_PROFILES)] | None = Field(
        default=None, description="By default one profile along every edge that meets one."
    )
    adhesive: Adhesive = Adhesive()
    grout: Grout = Grout()
    sealant: Sealant = Sealant()
    spacers: ByPiece | None = ByPiece(per_tile=4.0, package=200.0)
    primer: ByPiece | None = None
    clips: ByPiece | None = None
    work: Work = Work()

    def of_tile(self, tile: str) -> TileToBuy:
        """Return what holds for a tile."""
        named = (one for one in self.tiles if one.tile == tile)
        others = (one for one in self.tiles if one.tile is None)
        return next(named, None) or next(others, None) or TileToBuy()
