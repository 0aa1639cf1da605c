"""`--elevations DIR`: a drawing of each surface of a job, in files named by its letters."""

from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path

from cutopt.command.files import check_outputs, write
from cutopt.command.refused import Refused
from cutopt.documents import Job, Plan
from cutopt.layout import TakeOff
from cutopt.reports.corner import draw_corners
from cutopt.reports.elevation import draw_elevation


def add_option(parser: ArgumentParser) -> None:
    """Add the option to a command that reads a job."""
    parser.add_argument(
        "--elevations",
        metavar="DIR",
        help="write a drawing of each surface of a job to this folder: A.svg, B.svg, …",
    )


def check_folder(folder: str | None, found: TakeOff, taken: list[str]) -> None:
    """Refuse a folder that could not be written to, before anything is worked out for it.

    `taken` are the files that are read or written besides.
    """
    if folder is None:
        return
    if not found.surfaces:
        raise Refused([f"{folder}: a request has no surfaces: --elevations is for a job"])
    try:
        Path(folder).mkdir(exist_ok=True)
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise Refused([f"{folder}: cannot be written: {reason}"]) from None
    check_outputs([_file(folder, surface.mark) for surface in found.surfaces], taken)


def write_elevations(
    folder: str, data: object, found: TakeOff, plan: Plan | None, told: Callable[[str], None]
) -> None:
    """Write a drawing of every surface, and of every corner at which courses go on.

    Each is written whole or not at all, and its file's name is told.
    """
    job = Job.of(data)
    for surface in found.surfaces:
        file = _file(folder, surface.mark)
        write(file, draw_elevation(job, found, surface, plan))
        told(file)
    for name, drawing in (draw_corners(job, found, plan) if plan else {}).items():
        file = _file(folder, name)
        write(file, drawing)
        told(file)


def _file(folder: str, mark: str) -> str:
    return str(Path(folder) / f"{mark}.svg")
