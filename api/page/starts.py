"""Where else a job could begin, the fewest tiles first. Runs in a child."""

from dataclasses import dataclass

from api.page.elevation import Picture, draw_bare
from cutopt.documents import Job, parse_json
from cutopt.errors import Fault, InvalidInput
from cutopt.formats import taken_off
from cutopt.setting_out import find, set_out_of
from cutopt.stop import MaxSeconds

#: So long somebody waits for proposals.
_SECONDS = 10.0


@dataclass(frozen=True)
class Start:
    """A proposal where to begin: its name, what it gains and costs, the job that it makes."""

    name: str
    sentence: str
    tiles: int
    job: str
    surfaces: tuple[Picture, ...]


@dataclass(frozen=True)
class Starts:
    """Proposals, the one with the fewest tiles first."""

    proven: bool
    starts: tuple[Start, ...]


def starts_of(document: str) -> Starts:
    """Return where a job could begin, the fewest tiles first.

    Raises
    ------
    InvalidInput
        When there is nothing to be set out.
    """
    data = parse_json(document)
    if not taken_off(data).surfaces:
        raise InvalidInput([Fault("", "a list of pieces", "only measured surfaces are set out")])
    found = find(Job.of(data), MaxSeconds(_SECONDS), 0)
    told = set_out_of(found, 0)
    starts = [
        Start(
            proposal.name,
            proposal.sentence,
            proposal.tiles_needed,
            chosen.job.text(),
            tuple(
                draw_bare(chosen.job, chosen.taken_off, one, chosen.plan)
                for one in chosen.taken_off.surfaces
            ),
        )
        for proposal, chosen in zip(told.proposals, found.chosen, strict=True)
    ]
    return Starts(told.proven_best, tuple(starts))
