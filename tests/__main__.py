"""Every check of the project, in the order in which they fail fastest: `python -m tests`.

Lint and format (ruff), types (mypy, strict), then the tests with branch coverage, on two
cores. Arguments go to pytest: `python -m tests tests/solver -k nest`; with arguments coverage is
left out.
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PYTEST = ["pytest", "-q", "-n", "2", "--dist", "worksteal"]
COVERED = ["--cov", "--cov-report=term:skip-covered"]


def main(arguments: list[str]) -> int:
    """Run the checks; stop at the first that fails."""
    checks = [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
        [*PYTEST, *(arguments or COVERED)],
    ]
    for check in checks:
        print("+", *check, flush=True)
        ended = subprocess.run([sys.executable, "-m", *check], cwd=ROOT, check=False)
        if ended.returncode:
            return ended.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
