"""What can be wrong with the rules for setting out: names of nothing, and a surface ruled twice."""

from collections import Counter
from collections.abc import Iterator

from cutopt.documents.job import Job
from cutopt.documents.setting_out import SettingOut
from cutopt.errors import Fault, shown


def faults_of_setting_out(job: Job) -> Iterator[Fault]:
    """Return everything that is wrong with the rules for setting out."""
    openings = {surface.id: len(surface.openings) for _, surface in job.measured}
    named = Counter(mark for rule in job.setting_out for mark in rule.surfaces)
    if sum(not rule.surfaces for rule in job.setting_out) > 1:
        asked = "only one entry is for all surfaces that no other entry names"
        yield Fault("/setting_out", "no surfaces, more than once", asked)
    for at, rule in enumerate(job.setting_out):
        place = f"/setting_out/{at}"
        for number, mark in enumerate(rule.surfaces):
            if mark not in openings:
                asked = "this names a surface of the job"
                yield Fault(f"{place}/surfaces/{number}", shown(mark), asked)
            elif named[mark] > 1:
                asked = "a surface is named by one entry, once"
                yield Fault(f"{place}/surfaces/{number}", shown(mark), asked)
        yield from _faults_of_edges(place, rule, openings)


def _faults_of_edges(place: str, rule: SettingOut, openings: dict[str, int]) -> Iterator[Fault]:
    if rule.joints_at and len(rule.surfaces) != 1:
        asked = "joints at openings are asked for on one surface at a time"
        yield Fault(f"{place}/surfaces", shown(list(rule.surfaces)), asked)
        return
    for number, edge in enumerate(rule.joints_at):
        if edge.opening >= openings.get(rule.surfaces[0], edge.opening + 1):
            asked = f"surface {rule.surfaces[0]} has an opening of this number, from 0"
            yield Fault(f"{place}/joints_at/{number}/opening", shown(edge.opening), asked)
