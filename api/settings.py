"""What the service is told from outside: read once, from the environment."""

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any, Self

from cutopt.effort import LONGEST_SECONDS, USUAL_SECONDS, read_seconds
from cutopt.errors import Fault, InvalidInput, shown


def _usable_cpus() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Settings:
    """How the service runs.

    Attributes
    ----------
    listen_host, listen_port : str, int
        Where it listens; port 0 takes a free one.
    seconds : float
        How long a search may take when the caller does not say.
    most_seconds : float
        How long a caller may let a search take.
    wait_seconds : float
        How long a request waits for a free bench before it is told that all are busy.
    searches : int
        Searches at the same time; as many as there are processors when not given.
    waiting : int
        Requests that may wait for a free bench at the same time.
    most_body_bytes : int
        The largest document that is read.
    """

    listen_host: str = "127.0.0.1"
    listen_port: int = 8080
    seconds: float = USUAL_SECONDS
    most_seconds: float = LONGEST_SECONDS
    wait_seconds: float = 10.0
    searches: int = 0
    waiting: int = 32
    most_body_bytes: int = 8_000_000

    @classmethod
    def read(cls, environment: Mapping[str, str]) -> Self:
        """Return the settings that the environment names: `CUTOPT_LISTEN_PORT` and so on.

        Raises
        ------
        InvalidInput
            With every bad value at once.
        """
        given = {
            field.name: environment[name]
            for field in fields(cls)
            if (name := _variable(field.name)) in environment
        }
        if faults := list(_faults(given)):
            raise InvalidInput(faults)
        return cls(**{name: _READERS[name](text) for name, text in given.items()})

    @property
    def benches(self) -> int:
        """Return how many searches run at the same time."""
        return self.searches or _usable_cpus()


def _variable(name: str) -> str:
    return f"CUTOPT_{name.upper()}"


def _faults(given: Mapping[str, str]) -> Iterator[Fault]:
    for name, text in given.items():
        try:
            _READERS[name](text)
        except ValueError as rule:
            yield Fault(_variable(name), shown(text), str(rule))


def _whole(name: str, least: int, most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        is_whole = text.isascii() and text.isdigit() and len(text) <= len(str(most))
        if not (is_whole and least <= int(text) <= most):
            raise ValueError(f"{name} is a whole number from {least} to {most}")
        return int(text)

    return read


def read_host(text: str) -> str:
    """Return where to listen; raises `ValueError` with the rule."""
    if not text or any(sign.isspace() or not sign.isprintable() for sign in text):
        raise ValueError("this is the name or the address of a host")
    return text


read_port = _whole("a port", 0, 65_535)

_READERS: dict[str, Callable[[str], Any]] = {
    "listen_host": read_host,
    "listen_port": read_port,
    "seconds": read_seconds,
    "most_seconds": read_seconds,
    "wait_seconds": read_seconds,
    "searches": _whole("this", 1, 1_000),
    "waiting": _whole("this", 0, 10_000),
    "most_body_bytes": _whole("this", 1, 64 * 1024 * 1024),
}
