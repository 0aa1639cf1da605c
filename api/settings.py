"""What the service is told from outside: read once, from the environment."""

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, fields
from ipaddress import ip_address
from typing import Any, Self

from api.runs.tables import Unreachable
from cutopt.command.refused import Refused, about
from cutopt.effort import LONGEST_SECONDS, USUAL_SECONDS, read_seconds
from cutopt.errors import Fault, InvalidInput, shown


def _usable_cpus() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def from_environment(who: str) -> Iterator["Settings"]:
    """Read the settings; refuse in a line when they, or the database they name, are no good."""
    with about("environment"):
        settings = Settings.read(os.environ)
    try:
        yield settings
    except Unreachable as problem:
        raise Refused([f"{who}: the database cannot be used: {problem}"]) from None


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
    deadline_seconds : float
        When a run has to have ended, however often it was taken up, after it came.
    wait_seconds, most_wait_seconds : float
        How long an answer waits for the plan when the caller does not say, and at the most.
    quick_seconds : float
        A search that is waited for and takes longer goes on as one of the queue.
    searches : int
        Searches of the queue at the same time, and as many quick ones; as many as there are
        processors when not given.
    look_seconds : float
        How often a process looks whether the queue has something for it.
    waiting : int
        Requests that may wait for a free bench at the same time.
    queued : int
        Runs that may wait in the queue.
    memory_mb : int
        What one search may take.
    keys : str
        Who needs a key: "on" everybody, "off" nobody, "auto" everybody unless the service
        listens on this machine only.
    per_minute, most_open : int
        Requests a minute and open runs that one tenant may have; 0 is no limit.
    callback_secret : str
        What callbacks are signed with; without it there are none.
    private_callbacks : str
        "yes" lets callbacks go to private addresses.
    database : str
        Where runs are kept: a file, or the address of a PostgreSQL database.
    keep_hours : float
        How long results are kept.
    most_body_bytes : int
        The largest document that is read.
    """

    listen_host: str = "127.0.0.1"
    listen_port: int = 8080
    seconds: float = USUAL_SECONDS
    most_seconds: float = LONGEST_SECONDS
    deadline_seconds: float = 86_400.0
    wait_seconds: float = 20.0
    most_wait_seconds: float = 120.0
    quick_seconds: float = 5.0
    searches: int = 0
    look_seconds: float = 0.1
    waiting: int = 256
    queued: int = 10_000
    memory_mb: int = 2_000
    most_body_bytes: int = 8_000_000
    keys: str = "auto"
    per_minute: int = 0
    most_open: int = 0
    callback_secret: str = field(default="", repr=False)
    private_callbacks: str = "no"
    database: str = "cutopt.sqlite"
    keep_hours: float = 72.0

    @classmethod
    def read(cls, environment: Mapping[str, str]) -> Self:
        """Return the settings that the environment names: `CUTOPT_LISTEN_PORT` and so on.

        Raises
        ------
        InvalidInput
            With every bad value at once.
        """
        given = {
            one.name: environment[name]
            for one in fields(cls)
            if (name := _variable(one.name)) in environment
        }
        if faults := list(_faults(given)):
            raise InvalidInput(faults)
        return cls(**{name: _READERS[name](text) for name, text in given.items()})

    @property
    def database_url(self) -> str:
        """Return the address of the database; a file is one of SQLite."""
        if self.database.startswith(("postgresql://", "postgres://")):
            return "postgresql+psycopg://" + self.database.partition("://")[2]
        return f"sqlite:///{self.database}"

    @property
    def asks_for_keys(self) -> bool:
        """Return whether callers need a key."""
        return self.keys == "on" or (self.keys == "auto" and not self.is_local)

    @property
    def is_local(self) -> bool:
        """Return whether the service listens on this machine only."""
        if self.listen_host == "localhost":
            return True
        try:
            return ip_address(self.listen_host).is_loopback
        except ValueError:
            return False

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
            value = "(not shown)" if name == "callback_secret" else shown(text)
            yield Fault(_variable(name), value, str(rule))


def _whole(name: str, least: int, most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        is_whole = text.isascii() and text.isdigit() and len(text) <= len(str(most))
        if not (is_whole and least <= int(text) <= most):
            raise ValueError(f"{name} is a whole number from {least} to {most}")
        return int(text)

    return read


def _one_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"this is one of {', '.join(words)}")
        return text

    return read


def read_host(text: str) -> str:
    """Return where to listen; raises `ValueError` with the rule."""
    if not text or any(sign.isspace() or not sign.isprintable() for sign in text):
        raise ValueError("this is the name or the address of a host")
    return text


def read_database(text: str) -> str:
    """Return where the database is; raises `ValueError` with the rule."""
    other = "://" in text and not text.startswith(("postgresql://", "postgres://"))
    if not text or other or not text.isprintable():
        raise ValueError("this is the name of a file, or begins with postgresql://")
    return text


def _seconds(name: str, least: float, most: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            seconds = float(text)
        except ValueError:
            seconds = float("nan")
        if not least <= seconds <= most:
            raise ValueError(f"{name} is a number of seconds from {least:g} to {most:g}")
        return seconds

    return read


def _read_secret(text: str) -> str:
    if len(text) < 24:
        raise ValueError("a secret has 24 characters or more")
    return text


def _read_hours(text: str) -> float:
    try:
        hours = float(text)
    except ValueError:
        hours = 0.0
    if not 0 < hours <= 24 * 366:
        raise ValueError("hours are more than 0 and at most 8784")
    return hours


read_port = _whole("a port", 0, 65_535)

_READERS: dict[str, Callable[[str], Any]] = {
    "listen_host": read_host,
    "listen_port": read_port,
    "seconds": read_seconds,
    "most_seconds": read_seconds,
    "deadline_seconds": _seconds("a deadline", 1, 31_536_000),
    "look_seconds": _seconds("this", 0.02, 10),
    "wait_seconds": read_seconds,
    "most_wait_seconds": read_seconds,
    "quick_seconds": read_seconds,
    "queued": _whole("this", 1, 1_000_000),
    "memory_mb": _whole("this", 200, 1_000_000),
    "keys": _one_of("auto", "on", "off"),
    "per_minute": _whole("this", 0, 1_000_000),
    "most_open": _whole("this", 0, 1_000_000),
    "callback_secret": _read_secret,
    "private_callbacks": _one_of("yes", "no"),
    "database": read_database,
    "keep_hours": _read_hours,
    "searches": _whole("this", 1, 1_000),
    "waiting": _whole("this", 0, 10_000),
    "most_body_bytes": _whole("this", 1, 64 * 1024 * 1024),
}
