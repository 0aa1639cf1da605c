"""What steps come to: settings, metres, minutes, and how many pieces wait on the shelf."""

from collections.abc import Mapping, Sequence

from cutopt.documents.sequence import Pace, Step, Workload
from cutopt.sequence.passes import SNAP
from cutopt.sequence.waiting import most_waiting


def workload_of(
    steps: Sequence[Step],
    pace: Pace,
    rank: Mapping[str, int],
    bound: int = 0,
    made: Mapping[str, int] | None = None,
) -> Workload:
    """Return what steps come to.

    Parameters
    ----------
    steps : sequence of Step
        The steps in their order.
    pace : Pace
        How long things take.
    rank : mapping of str to int
        The place of each piece in the order in which pieces are laid.
    bound : int
        What no order of the same cuts goes below; 0 where nothing was proven.
    made : mapping of str to int, optional
        Pieces that are finished before the first step.
    """
    settings = sum(step.sets_fence for step in steps)
    sawn = [step for step in steps if step.guide in ("fence", "mark")]
    seconds = settings * pace.set_fence + sum(step.seconds * step.times for step in steps)
    return Workload(
        settings=settings,
        least_settings=bound or None,
        proven_fewest=bound == settings if bound else None,
        cuts=sum(step.times for step in sawn),
        shapings=sum(step.times for step in steps if step.guide == "shape" and step.seconds),
        metres=round(sum(step.length * step.times for step in sawn if step.tool != SNAP) / 1000, 3),
        minutes=round(seconds / 60, 1),
        most_waiting=most_waiting(
            [[rank[piece] for piece in _finished(step)] for step in steps],
            {rank[piece]: count for piece, count in (made or {}).items()},
        ),
    )


def _finished(step: Step) -> list[str]:
    """Return the pieces that a step finishes, each as often as it is done."""
    pieces = [made.piece or "" for made in step.makes if made.becomes == "piece"]
    return pieces * step.times
