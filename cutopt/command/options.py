"""Options on the command line: refused in one line, bounded where they are numbers."""

import argparse
from collections.abc import Callable
from typing import NoReturn, TypeAlias, TypeVar

from cutopt.command.refused import Refused
from cutopt.effort import USUAL_SECONDS, read_seconds, read_seed
from cutopt.errors import shown

Value = TypeVar("Value")


class Parser(argparse.ArgumentParser):
    """A parser that says in one line what is wrong."""

    def error(self, message: str) -> NoReturn:
        """Refuse the command line."""
        raise Refused([f"{self.prog}: {message} (see {self.prog} --help)"])


Commands: TypeAlias = "argparse._SubParsersAction[Parser]"


def bounded(read: Callable[[str], Value]) -> Callable[[str], Value]:
    """Return a reader whose `ValueError`, a rule, becomes the parser's message."""

    def read_option(text: str) -> Value:
        try:
            return read(text)
        except ValueError as rule:
            raise argparse.ArgumentTypeError(f"{shown(text)}: {rule}") from None

    return read_option


def add_search_options(parser: argparse.ArgumentParser) -> None:
    """Add what every command that searches can be told: how long, which seed, how quietly."""
    parser.add_argument(
        "--seconds",
        type=bounded(read_seconds),
        default=USUAL_SECONDS,
        help=f"search at most so long (at most 3600; usually {USUAL_SECONDS:g})",
    )
    parser.add_argument(
        "--seed",
        type=bounded(read_seed),
        default=0,
        help="the same input and seed give the same result (usually 0)",
    )
    parser.add_argument("--quiet", action="store_true", help="no progress on standard error")
