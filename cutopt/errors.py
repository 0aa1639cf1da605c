"""What can go wrong, as three exceptions, each made of faults that name place, value and rule.

CutoptError
├── InvalidInput    the document is wrong          exit 2, HTTP 422
├── CannotBeMet     well formed, but impossible    exit 3, HTTP 409
└── BrokenPlan      our own plan failed the check  exit 1, HTTP 500
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong.

    Attributes
    ----------
    place : str
        JSON pointer (RFC 6901) into the document; `""` is the whole document.
    value : str
        What was found there, as text, shortened when long.
    rule : str
        What should have been there.
    """

    place: str
    value: str
    rule: str

    def __str__(self) -> str:
        return f"{self.place or '/'}: {self.value}: {self.rule}"


class CutoptError(Exception):
    """Base of everything that cutopt raises on purpose."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))


class InvalidInput(CutoptError):  # noqa: N818 - reads as the sentence it is
    """The document that came in breaks a rule; every fault names its place."""


class CannotBeMet(CutoptError):  # noqa: N818
    """The request is well formed, but a piece fits no tile or the stock cannot be cut so."""


class BrokenPlan(CutoptError):  # noqa: N818
    """The independent check refused a plan that cutopt made: a bug of ours."""


def shown(value: object, limit: int = 80) -> str:
    """Return a value as short text for a fault: a text in quotes, all else as JSON writes it."""
    try:
        if isinstance(value, str):
            text = repr(value)
        else:
            text = json.dumps(value, ensure_ascii=False, default=str).strip('"')
    except ValueError:  # Python writes no whole number of more than 4,300 digits
        text = "a number of thousands of digits"
    return text if len(text) <= limit else f"{text[: limit - 1]}…"
