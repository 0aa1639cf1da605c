"""What goes to the terminal: text that no terminal chokes on, documents as UTF-8."""

import os
import sys
from collections.abc import Callable
from contextlib import suppress

from cutopt.command.refused import Refused


def say(text: str) -> None:
    """Write text for people to standard output; what its encoding lacks is escaped."""
    _written(lambda: sys.stdout.write(_encodable(text, sys.stdout.encoding)))


def emit(document: str) -> None:
    """Write a document to standard output as UTF-8, whatever the terminal's encoding."""
    buffer = getattr(sys.stdout, "buffer", None)
    if buffer is None:
        _written(lambda: sys.stdout.write(document))
    else:
        _written(lambda: buffer.write(document.encode()))


def tell(line: str) -> None:
    """Write one line to standard error; nothing in it can move a terminal's cursor."""
    with suppress(OSError):
        print(one_line(line), file=sys.stderr, flush=True)


def one_line(text: str) -> str:
    """Return the text with everything that is no printable character escaped."""
    return "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text
    )


def let_go_of_output() -> None:
    """Send what is still buffered nowhere, so that the interpreter ends without complaint."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def _written(write: Callable[[], object]) -> None:
    if sys.stdout is None:  # closed by whoever started the command
        return
    try:
        write()
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as problem:
        let_go_of_output()
        raise Refused([f"standard output: {problem.strerror}"]) from None


def _encodable(text: str, encoding: str | None) -> str:
    name = encoding or "utf-8"
    return text.encode(name, "backslashreplace").decode(name)
