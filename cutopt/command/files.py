"""Files in and out: read within bounds, written whole or not at all."""

import os
import secrets
import stat
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from cutopt.command.refused import Refused, about
from cutopt.documents import parse_json

MOST_BYTES = 64 * 1024 * 1024
STANDARD_INPUT = "-"


def name_of(file: str) -> str:
    """Return what a file is called in a message."""
    return "standard input" if file == STANDARD_INPUT else file


def read_json(file: str) -> object:
    """Return the parsed JSON of a file, or of standard input for `-`."""
    text = read_text(file)
    with about(name_of(file)):
        return parse_json(text)


def read_text(file: str) -> str:
    """Return the text of a file, or of standard input for `-`."""
    data = _read(file)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        found = f"byte 0x{data[problem.start]:02x} at {problem.start}"
        raise Refused([f"{name_of(file)}: {found}: a document is UTF-8 text"]) from None


def _read(file: str) -> bytes:
    try:
        if file == STANDARD_INPUT:
            data = sys.stdin.buffer.read(MOST_BYTES + 1) if sys.stdin else b""
        else:
            with open(file, "rb") as opened:
                data = opened.read(MOST_BYTES + 1)
    except (OSError, ValueError) as problem:
        raise Refused([f"{name_of(file)}: cannot be read: {_reason(problem)}"]) from None
    if len(data) > MOST_BYTES:
        raise Refused([f"{name_of(file)}: larger than 64 MB: a document is at most that large"])
    return data


def check_outputs(outputs: Iterable[str], inputs: Iterable[str]) -> None:
    """Refuse outputs that could not be written, before anything is worked out for them."""
    taken = {_place_of(file): "is what is read" for file in inputs if file != STANDARD_INPUT}
    for file in outputs:
        place = _place_of(file)
        if file == STANDARD_INPUT:
            raise Refused([f"{file}: standard output holds the summary; --json prints the plan"])
        if place in taken and _is_replaced(place):
            raise Refused([f"{file}: cannot be written: the same file {taken[place]}"])
        taken[place] = "is written twice"
        try:
            _try_to_write(place)
        except OSError as problem:
            raise Refused([f"{file}: cannot be written: {_reason(problem)}"]) from None


def write(file: str, content: str | bytes) -> None:
    """Write a file whole: under another name first, then renamed into place."""
    place = _place_of(file)
    data = content.encode() if isinstance(content, str) else content
    try:
        if _is_replaced(place):
            _replace(place, data)
        else:
            place.write_bytes(data)
    except OSError as problem:
        raise Refused([f"{file}: cannot be written: {_reason(problem)}"]) from None


def _place_of(file: str) -> Path:
    """Return where a file really lies, links followed."""
    try:
        return Path(os.path.realpath(file))
    except ValueError as problem:  # a name with a null character
        raise Refused([f"{file}: is no name of a file: {problem}"]) from None


def _is_replaced(place: Path) -> bool:
    """Tell whether a rename may put a file here: not over a device or a pipe."""
    return not place.exists() or place.is_file()


def _try_to_write(place: Path) -> None:
    if place.is_dir():
        raise IsADirectoryError(0, "this is a directory")
    if place.exists() and not os.access(place, os.W_OK):
        raise PermissionError(0, "this file is write-protected")
    if _is_replaced(place):
        trial = _beside(place)
        os.close(os.open(trial, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        trial.unlink()


def _replace(place: Path, data: bytes) -> None:
    part = _beside(place)
    try:
        with open(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666), "wb") as opened:
            opened.write(data)
            opened.flush()
            os.fsync(opened.fileno())
        if place.exists():
            part.chmod(stat.S_IMODE(place.stat().st_mode))
        part.replace(place)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _beside(place: Path) -> Path:
    return place.with_name(f".cutopt-{secrets.token_hex(6)}")


def _reason(problem: OSError | ValueError) -> str:
    return (problem.strerror if isinstance(problem, OSError) else None) or str(problem)
