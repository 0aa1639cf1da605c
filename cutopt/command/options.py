"""Options on the command line: refused in one line, bounded where they are numbers."""

import argparse
from collections.abc import Callable
from typing import NoReturn, TypeAlias, TypeVar

from cutopt.command.refused import Refused
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
