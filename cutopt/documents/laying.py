"""How tiles are laid: bond, joint, start; and values that a word or a text stands for."""

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import (
    AfterValidator,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    PlainSerializer,
    PlainValidator,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError, core_schema

from cutopt.documents.base import Part, Place, Size, Width
from cutopt.units import MM

BondKind = Literal["stack", "running", "planks", "herringbone", "basket weave"]

MOST_STARTS = 100
LARGEST_PART = 1_000
WIDEST_JOINT = 50 * MM


class OrWord:
    """Lets a single word stand for a part that has only this field, and says so in the schema."""

    def __init__(self, field: str, words: object) -> None:
        self._field = field
        self._words = list(get_args(words))

    def _read(self, value: object) -> object:
        return {self._field: value} if isinstance(value, str) else value

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> Any:
        return core_schema.no_info_before_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [{"type": "string", "enum": self._words}, handler(schema)]}


def _read_share(value: object) -> Fraction:
    problem = PydanticCustomError(
        "share", "a share of the tile is a number from 0 to below 1 or a text such as '1/3'"
    )
    try:
        if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal | Fraction):
            raise problem
        if isinstance(value, str) and len(value) > 12:
            raise problem
        share = Fraction(str(value)).limit_denominator(LARGEST_PART)
    except (ValueError, ArithmeticError):
        raise problem from None
    if not 0 <= share < 1:
        raise problem
    return share


def _read_angle(value: object) -> Decimal:
    problem = PydanticCustomError("angle", "an angle is a number of degrees from -90 to 90")
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise problem
    angle = Decimal(str(value))
    if not angle.is_finite() or not -90 <= angle <= 90:
        raise problem
    return round(angle, 6)


def _read_joint(joint: int) -> int:
    if not 0 < joint <= WIDEST_JOINT:
        raise PydanticCustomError(
            "joint", "a joint is wider than zero and at most 50 mm: tiles are not laid touching"
        )
    return joint


Share = Annotated[
    Fraction,
    PlainValidator(_read_share),
    PlainSerializer(str),
    WithJsonSchema({"anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}]}),
]
Angle = Annotated[
    Decimal,
    PlainValidator(_read_angle),
    PlainSerializer(lambda angle: int(angle) if angle == int(angle) else float(angle)),
    WithJsonSchema({"type": "number", "minimum": -90, "maximum": 90}),
]
Joint = Annotated[Place, AfterValidator(_read_joint)]
Spot = tuple[Place, Place]


class Bond(Part):
    """How the tiles are laid."""

    kind: BondKind = "stack"
    angle: Angle = Field(
        default=Decimal(0), description="By how much the courses are turned, anticlockwise."
    )
    along: Literal["rows", "columns"] = "rows"
    offset: Share | None = Field(
        default=None, description="Running bond: from course to course, as a share of the tile."
    )
    stagger: Size | None = Field(
        default=None, description="Planks: least distance of end joints in neighbouring courses."
    )
    starts: Annotated[tuple[Width, ...], Field(min_length=1, max_length=MOST_STARTS)] | None = (
        Field(default=None, description="Planks: shift of each course, repeated in this order.")
    )

    @model_validator(mode="after")
    def _fields_of_its_kind(self) -> Self:
        _only(self.offset is None or self.kind == "running", "offset", "running")
        _only(self.stagger is None or self.kind == "planks", "stagger", "planks")
        _only(self.starts is None or self.kind == "planks", "starts", "planks")
        if self.kind == "planks" and (self.stagger is None) == (self.starts is None):
            raise PydanticCustomError("planks", "planks have either a stagger or starts")
        if self.along == "columns" and self.kind not in ("running", "planks"):
            raise PydanticCustomError("along", "columns are for running bond and planks")
        return self


def _only(holds: bool, field: str, kind: str) -> None:
    if not holds:
        raise PydanticCustomError("bond", "{rule}", {"rule": f"{field} is for the bond '{kind}'"})


class Start(Part):
    """Where the first tile lies: its corner or centre, from a point of the surface.

    `x` and `y` run along and across the courses.
    """

    x: Place = 0
    y: Place = 0
    of: Literal["corner", "centre"] = "corner"
    point: Spot | None = Field(default=None, description="By default the lower left corner.")
