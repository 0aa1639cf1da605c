"""A service as a process of its own, on loopback, with a database of its own."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[1]
_SERVE = "import sys; from api.serve import main; sys.exit(main(['--port', '0']))"


@dataclass(frozen=True)
class Service:
    """Where it listens, and which process it is."""

    address: str
    pid: int

    def resident_mib(self) -> float:
        """Return the memory of the process itself, its children left out."""
        pages = int(Path(f"/proc/{self.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGESIZE") / 2**20


@contextmanager
def serving(**settings: str) -> Iterator[Service]:
    """Run a service with these settings; its logs go nowhere."""
    with TemporaryDirectory() as folder:
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "CUTOPT_DATABASE": str(Path(folder) / "runs.sqlite"),
            **settings,
        }
        log = Path(folder) / "log"
        with log.open("w", encoding="utf-8") as lines:
            process = subprocess.Popen(
                [sys.executable, "-c", _SERVE], env=environment, stderr=lines
            )
        try:
            yield Service(_address(log, process), process.pid)
        finally:
            process.terminate()
            process.wait(30)


def _address(log: Path, process: "subprocess.Popen[bytes]") -> str:
    while process.poll() is None:
        for line in log.read_text(encoding="utf-8").splitlines():
            if line.startswith("cutopt serves on "):
                return line.split()[3].rstrip(";")
    raise SystemExit(log.read_text(encoding="utf-8"))
