"""What to mind."""

from collections.abc import Iterator, Sequence

from cutopt.documents import Job
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, LaidSurface


def findings_of(
    job: Job, grounds: Sequence[Ground], surfaces: Sequence[LaidSurface], merged: bool
) -> Iterator[Finding]:
    """Return what to mind."""
    yield from ()
