"""From the entries of a job to the marks of `cutopt.progress`."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from api.page.said import (
    BrokenSaid,
    CountedSaid,
    DoneSaid,
    Kept,
    LaidSaid,
    MeasuredSaid,
    PlanSaid,
    UndoSaid,
)
from cutopt.documents import Piece, Plan, Request
from cutopt.documents.progress import Progress
from cutopt.exchange.setup import length
from cutopt.units import Units

Json = dict[str, Any]
#: A step of one of the equal tiles: the name of the step, and which tile.
StepDone = tuple[str, int]


@dataclass
class History:
    """What the entries come to.

    Attributes
    ----------
    marks : list
        The marks, as a progress document writes them.
    numbers : dict
        The numbers of the marks that an entry made.
    in_force : list
        The entries that count, without those that take others back.
    """

    units: Units
    pieces: dict[str, Piece]
    marks: list[Json] = field(default_factory=list)
    numbers: dict[str, list[int]] = field(default_factory=dict)
    in_force: list[Kept] = field(default_factory=list)

    def take(self, entry: Kept) -> None:
        """Add an entry."""
        if isinstance(entry.said, UndoSaid):
            self._take_back(entry.said.entry)
            return
        first = len(self.marks) + 1
        at = datetime.fromtimestamp(entry.made, UTC).isoformat(timespec="seconds")
        self.marks += ({**mark, "at": at} for mark in self._marks_of(entry))
        self.numbers[entry.id] = list(range(first, len(self.marks) + 1))
        self.in_force.append(entry)

    def _take_back(self, name: str) -> None:
        """Take back an entry and every plan that was made since, the latest first."""
        place = [entry.id for entry in self.in_force].index(name)
        gone = [
            entry
            for entry in self.in_force[place:]
            if entry.id == name or isinstance(entry.said, PlanSaid)
        ]
        for entry in reversed(gone):
            for number in reversed(self.numbers[entry.id]):
                self.marks.append({"kind": "undone", "mark": number})
            self.in_force.remove(entry)

    def _marks_of(self, entry: Kept) -> Iterator[Json]:
        said = entry.said
        if isinstance(said, DoneSaid):
            yield from _done(said)
        elif isinstance(said, BrokenSaid):
            yield self._broken(said)
        elif isinstance(said, MeasuredSaid):
            yield self._measured(said)
        elif isinstance(said, CountedSaid):
            yield {"kind": "counted", "tile": said.tile, "tiles": said.tiles}
        elif isinstance(said, LaidSaid):
            yield {"kind": "done", "piece": said.piece, "times": said.times}
        elif isinstance(said, PlanSaid):
            yield {
                "kind": "replanned",
                "request": said.request and Request.read(said.request),
                "plan": said.plan and Plan.read(said.plan),
            }

    def _broken(self, said: BrokenSaid) -> Json:
        mark: Json = {"kind": "broken", "where": said.where or None}
        if said.cut_tile is not None:
            mark |= {"cut_tile": said.cut_tile, "which": said.which, "part": said.part}
        else:
            mark |= {"tile": said.tile, "offcut": said.offcut}
        if said.runs is not None:
            mark["runs"] = [[length(text, self.units) for text in point] for point in said.runs]
        sides = ("width", "height")
        usable = [
            {side: length(getattr(one, side), self.units) for side in sides}
            | {"factory_edges": one.factory_edges}
            for one in said.usable
        ]
        return mark | {"usable": usable}

    def _measured(self, said: MeasuredSaid) -> Json:
        mark: Json = {"kind": "measured", "piece": said.piece}
        mark |= {side: length(getattr(said, side), self.units) for side in ("width", "height")}
        before = self.pieces.get(said.piece)
        return mark | ({"holes": before.holes} if before is not None else {})

    @property
    def progress(self) -> Progress:
        """Return the marks as a document; raises `InvalidInput` when one breaks a rule."""
        return Progress.of({"units": self.units, "marks": self.marks})

    @property
    def steps_done(self) -> set[StepDone]:
        """Return the steps that were done, each with which of the equal tiles."""
        return {
            (entry.said.step, which)
            for entry in self.in_force
            if isinstance(entry.said, DoneSaid)
            for which in entry.said.which
        }

    @property
    def needs_plan(self) -> bool:
        """Tell whether something happened that the plan in force does not know."""
        for entry in reversed(self.in_force):
            if isinstance(entry.said, PlanSaid):
                return False
            if isinstance(entry.said, BrokenSaid | MeasuredSaid):
                return True
        return False

    @property
    def last(self) -> Kept | None:
        """Return the entry that would be taken back next."""
        own = (entry for entry in reversed(self.in_force) if not isinstance(entry.said, PlanSaid))
        return next(own, None)


def _done(said: DoneSaid) -> Iterator[Json]:
    for which in said.which:
        mark = {"kind": "done", "cut_tile": said.cut_tile, "which": which}
        if said.whole:
            yield mark
        for cut in said.cuts:
            yield mark | {"cut": cut}


def history_of(request: Request, entries: Sequence[Kept]) -> History:
    """Return what the entries come to; those that were refused do not count."""
    history = History(request.units, {piece.id: piece for piece in request.pieces})
    for entry in entries:
        if entry.refused is None:
            history.take(entry)
    return history
