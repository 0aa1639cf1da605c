"""What every document shares: strict fields, exact lengths, faults with a JSON pointer."""

import difflib
import json
from collections.abc import Callable, Iterable, Iterator
from contextvars import ContextVar
from decimal import Decimal
from functools import partial
from typing import Annotated, Any, Self, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    SerializerFunctionWrapHandler,
    ValidationError,
    ValidatorFunctionWrapHandler,
    WithJsonSchema,
    model_serializer,
    model_validator,
)
from pydantic_core import ErrorDetails, PydanticCustomError

from cutopt.errors import Fault, InvalidInput, shown
from cutopt.units import LONGEST, Units, parse_length, to_json

#: A document nests far less deep than this; what nests deeper is refused before it is read.
DEEPEST = 40
#: Faults beyond this many are counted, not listed.
MOST_FAULTS = 50

# A sender knows JSON, not Python.
_WORDS = {"tuple": "list", "a valid dictionary": "an object", "dictionary": "object"}
_TOO_DEEP = Fault("", "the text", f"a document nests at most {DEEPEST} deep")

# Outside a document, in Python, a whole number is a length as cutopt holds it.
_units: ContextVar[Units | None] = ContextVar("units of the document in hand", default=None)


def _read_length(value: object) -> int:
    units = _units.get()
    if units is None and type(value) is int:
        return value
    try:
        return parse_length(value, units or "mm")
    except ValueError as problem:
        raise PydanticCustomError("length", "{rule}", {"rule": str(problem)}) from None


def _bounded(name: str, least: int, rule: str) -> Any:
    def check(length: int) -> int:
        if length < least:
            raise PydanticCustomError(name, "{rule}", {"rule": rule})
        return length

    return check


_SCHEMA = {
    "description": "A number in the document's units, or a text with its own unit.",
    "anyOf": [{"type": "number"}, {"type": "string", "maxLength": 40}],
    "examples": [600, "60 cm", "23 5/8 in", "7'-6 1/2\""],
}
_WRITE = PlainSerializer(lambda length: to_json(length, _units.get() or "mm"))


def _length_type(name: str, least: int, rule: str) -> Any:
    check = _bounded(name, least, rule)
    return Annotated[
        int,
        BeforeValidator(lambda value: check(_read_length(value))),
        _WRITE,
        WithJsonSchema(_SCHEMA),
    ]


#: Any length, also below zero (a place).
Place = _length_type("place", -LONGEST, "a place is at least -1 km")
#: A length of zero or more (kerf, joint).
Width = _length_type("width", 0, "this length is zero or more")
#: A length of more than zero (the size of a tile or piece).
Size = _length_type("size", 1, "this length is more than zero")


Name = Annotated[
    str, Field(strict=True, min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]+$")
]


def _read_money(value: object) -> Decimal:
    try:
        if isinstance(value, bool):
            raise ValueError
        money = Decimal(str(value))
        if not money.is_finite() or not 0 <= money <= 10**9:
            raise ValueError
    except (ArithmeticError, ValueError):
        raise PydanticCustomError("money", "a price is a number from 0 to 10^9") from None
    return money


Money = Annotated[
    Decimal,
    BeforeValidator(_read_money),
    PlainSerializer(lambda money: int(money) if money == int(money) else float(money)),
    WithJsonSchema({"type": "number", "minimum": 0, "maximum": 10**9}),
]
Title = Annotated[str, Field(strict=True, max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]


class Part(BaseModel):
    """A part of a document: frozen, and no field that nobody knows.

    Made in Python, as `Tile(id="field", width=600 * MM, height=300 * MM)`, its lengths are whole
    numbers as `cutopt.units` holds them; read from a document they count its units.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)


class Document(Part):
    """A whole document, with the units of every bare number in it.

    Lengths are held as integers (see `cutopt.units`); they are read and written in the units
    that the document names.
    """

    units: Units = "mm"

    @model_validator(mode="wrap")
    @classmethod
    def _in_own_units(cls, data: Any, read: ValidatorFunctionWrapHandler) -> Self:
        units = data.get("units", "mm") if isinstance(data, dict) else "mm"
        token = _units.set("in" if units == "in" else "mm")
        try:
            return read(data)  # type: ignore[no-any-return]
        finally:
            _units.reset(token)

    @model_serializer(mode="wrap")
    def _out_in_own_units(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        token = _units.set(self.units)
        try:
            data = write(self)
            return {"format": data.pop("format", None), **data}
        finally:
            _units.reset(token)

    @classmethod
    def read(cls, text: str | bytes) -> Self:
        """Return the document that a JSON text holds.

        Raises
        ------
        InvalidInput
            With every fault at once: JSON pointer, value and rule.
        """
        return cls.of(parse_json(text))

    @classmethod
    def of(cls, data: object) -> Self:
        """Return the document that parsed JSON holds; raises `InvalidInput` as `read` does."""
        try:
            return cls.model_validate(data)
        except ValidationError as problem:
            raise InvalidInput(faults_of(problem, cls)) from None

    def text(self) -> str:
        """Return the document as JSON, two spaces deep, ending in a line feed."""
        return self.model_dump_json(indent=2, exclude_none=True) + "\n"


def reject(faults: Iterable[Fault]) -> None:
    """Refuse the document under validation when there are faults that span several fields."""
    if found := tuple(faults):
        raise PydanticCustomError("faults", "{count} faults", {"count": len(found), "all": found})


def parse_json(text: str | bytes) -> object:
    """Return parsed JSON with decimals kept exact.

    Raises
    ------
    InvalidInput
        When it is no JSON, nests too deep, or names a key twice.
    """
    try:
        decoded = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        data = json.loads(
            decoded,
            parse_float=partial(_number, Decimal),
            parse_int=partial(_number, int),
            parse_constant=_no_constant,
            object_pairs_hook=_no_key_twice,
        )
    except json.JSONDecodeError as problem:
        place = f"line {problem.lineno}, column {problem.colno}"
        raise InvalidInput([Fault("", place, f"this is no JSON: {problem.msg}")]) from None
    except (UnicodeDecodeError, ValueError) as problem:
        raise InvalidInput([Fault("", "the text", f"this is no JSON: {problem}")]) from None
    except RecursionError:
        raise InvalidInput([_TOO_DEEP]) from None
    if _deeper_than(data, DEEPEST):
        raise InvalidInput([_TOO_DEEP])
    return data


def _number(kind: Callable[[str], object], text: str) -> object:
    try:
        return kind(text)
    except (ArithmeticError, ValueError):
        raise ValueError(f"the number {shown(text)} is beyond all counting") from None


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number in JSON")


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {shown(key)} stands twice in one object")
        found[key] = value
    return found


def _deeper_than(data: object, depth: int) -> bool:
    inner: Iterable[object] = ()
    if isinstance(data, dict):
        inner = data.values()
    elif isinstance(data, list):
        inner = data
    return depth == 0 or any(
        _deeper_than(item, depth - 1) for item in inner if isinstance(item, dict | list)
    )


def faults_of(problem: ValidationError, model: type[BaseModel]) -> list[Fault]:
    """Return pydantic's findings as faults, the first `MOST_FAULTS` of them."""
    errors = problem.errors()
    # A list whose items are wrong counts as too short besides; the items' own faults say enough.
    within = {error["loc"][:depth] for error in errors for depth in range(len(error["loc"]))}
    found = [
        fault
        for error in errors
        if not (error["type"] == "too_short" and error["loc"] in within)
        for fault in _faults(error, model)
    ]
    # A wrong value may break several readings of a field; its place needs saying once.
    unique = list(dict.fromkeys(found))
    if len(unique) > MOST_FAULTS:
        rest = len(unique) - MOST_FAULTS
        unique = [
            *unique[:MOST_FAULTS],
            Fault("", f"{rest} more faults", "only the first are listed"),
        ]
    return unique


def _faults(error: ErrorDetails, model: type[BaseModel]) -> Iterator[Fault]:
    if error["type"] == "faults":
        yield from error["ctx"]["all"]
        return
    place = "".join(f"/{_escaped(part)}" for part in error["loc"])
    value = "nothing" if error["type"] == "missing" else shown(error["input"])
    if error["type"] == "too_long" and isinstance(error["input"], list | tuple):
        value = f"{len(error['input']):,} entries"
    yield Fault(place, value, _rule(error, model))


def _escaped(part: int | str) -> str:
    return str(part).replace("~", "~0").replace("/", "~1")


def _rule(error: ErrorDetails, model: type[BaseModel]) -> str:
    if error["type"] == "missing":
        return "this field is required"
    if error["type"] == "extra_forbidden":
        name = str(error["loc"][-1])
        near = difflib.get_close_matches(name, _known_names(error["loc"][:-1], model), n=1)
        return "no field has this name" + (f"; did you mean '{near[0]}'?" if near else "")
    length = error.get("ctx", {})
    if error["type"] == "too_short" and isinstance(error["input"], list | tuple):
        return f"this list has at least {_items(length['min_length'])}"
    if error["type"] == "too_long" and isinstance(error["input"], list | tuple):
        return f"this list has at most {_items(length['max_length'])}"
    message = error["msg"].partition(" or instance of ")[0]
    for python, json_word in _WORDS.items():
        message = message.replace(python, json_word)
    return message[:1].lower() + message[1:]


def _items(number: int) -> str:
    return f"{number:,} item" if number == 1 else f"{number:,} items"


def _known_names(loc: tuple[int | str, ...], model: type[BaseModel]) -> list[str]:
    for part in loc:
        if isinstance(part, str) and part in model.model_fields:
            model = _model_within(model.model_fields[part].annotation) or model
    return list(model.model_fields)


def _model_within(kind: Any) -> type[BaseModel] | None:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return kind
    return next(filter(None, map(_model_within, get_args(kind))), None)
