"""What steps come to: settings, metres, minutes, and how many pieces wait on the shelf."""

from collections import Counter
from collections.abc import Mapping, Sequence

from cutopt.documents.sequence import Pace, Step, Workload


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
        metres=round(sum(step.length * step.times for step in sawn) / 1000, 3),
        minutes=round(seconds / 60, 1),
        most_waiting=_waiting(steps, rank, made or {}),
    )


def _waiting(steps: Sequence[Step], rank: Mapping[str, int], before: Mapping[str, int]) -> int:
    """Return how many pieces lie on the shelf at the most while those before them are missing."""
    made = Counter({rank[piece]: count for piece, count in before.items()})
    wanted = made + Counter(rank[piece] for step in steps for piece in _finished(step))
    order = sorted(wanted)
    next_up, laid, most = 0, 0, 0
    for step in steps:
        made.update(rank[piece] for piece in _finished(step))
        while next_up < len(order) and made[order[next_up]] == wanted[order[next_up]]:
            laid += wanted[order[next_up]]
            next_up += 1
        ready = made[order[next_up]] if next_up < len(order) else 0
        most = max(most, made.total() - laid - ready)
    return most


def _finished(step: Step) -> list[str]:
    """Return the pieces that a step finishes, each as often as it is done."""
    pieces = [made.piece or "" for made in step.makes if made.becomes == "piece"]
    return pieces * step.times
