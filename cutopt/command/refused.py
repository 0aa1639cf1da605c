"""What ends a command for a reason of the user's: an exit status and lines that say why."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from cutopt.errors import CannotBeMet, Fault, InvalidInput

DONE = 0
OWN_FAULT = 1
WRONG_INPUT = 2
CANNOT_BE_MET = 3
INTERRUPTED = 130
#: What a shell reports for a program that wrote to a pipe nobody reads any more.
PIPE_CLOSED = 141


class Refused(Exception):  # noqa: N818 - reads as the sentence it is
    """The command ends here, with this exit status and these lines on standard error."""

    def __init__(self, lines: Iterable[str], status: int = WRONG_INPUT) -> None:
        self.lines = tuple(lines)
        self.status = status
        super().__init__("\n".join(self.lines))


@contextmanager
def about(name: str) -> Iterator[None]:
    """Turn the faults of a document into lines that begin with the name of its file."""
    try:
        yield
    except InvalidInput as problem:
        raise Refused(lines_of(name, problem.faults)) from None
    except CannotBeMet as problem:
        raise Refused(lines_of(name, problem.faults), CANNOT_BE_MET) from None


def lines_of(name: str, faults: Iterable[Fault]) -> list[str]:
    """Return one line per fault: file, place, value, rule."""
    return [f"{name}: {fault}" for fault in faults]
