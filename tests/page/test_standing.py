"""Entries to marks to a new plan: what is done stays done, what cannot be is refused."""

import random
from typing import Any

import pytest

from api.page.history import history_of
from api.page.papers import in_force, print_papers, progress_text
from api.page.said import Entry
from api.page.standing import Followed, Work, entries_of, follow
from cutopt import Request, plan
from cutopt.check.history import check_history
from cutopt.documents import Plan
from cutopt.documents.progress import Progress

Json = dict[str, Any]
TILES = [{"id": "field", "width": 600, "height": 300, "turn": "half"}]
ENDS = {"tiles": TILES, "saw": {"kerf": 2}, "pieces": [
    {"id": "end", "width": 250, "height": 300, "quantity": 4},
    {"id": "strip", "width": 90, "height": 300, "quantity": 2},
    {"id": "whole", "width": 600, "height": 300, "quantity": 2},
]}  # fmt: skip
NOTCHED = {"tiles": TILES, "saw": {"kerf": 2}, "pieces": [
    {"id": "corner", "width": 500, "height": 300,
     "outline": [[0, 0], [500, 0], [500, 200], [400, 200], [400, 300], [0, 300]],
     "holes": [{"x": 100, "y": 100, "diameter": 50}]},
]}  # fmt: skip


class Job:
    """A job as the store would hold it, in memory."""

    def __init__(self, request: Json) -> None:
        self.request = Request.of(request)
        self.plan = plan(self.request)
        self.rows: list[Json] = []
        self.standing = self.say().standing

    @property
    def work(self) -> Work:
        text = "[" + ",".join(map(str, self.rows)) + "]"
        return Work(self.request.text(), self.plan.text(), text)

    def say(self, *said: Json) -> Followed:
        """Say something, and keep what comes of it."""
        first = len(self.rows)
        new = [
            Entry.model_validate({"id": f"entry-{first + at:04}", "said": one})
            for at, one in enumerate(said)
        ]
        found = follow(self.work, new, 0.0, "fence")
        for entry, (_, refused) in zip(new, found.refused, strict=True):
            self._keep(entry.id, entry.said.model_dump_json(), refused)
        if found.plan is not None:
            self._keep(f"plan-{len(self.rows) + 1}", found.plan, None)
        self.standing = found.standing
        return found

    def _keep(self, name: str, said: str, refused: str | None) -> None:
        why = "null" if refused is None else f'"{refused}"'
        row = f'{{"number": {len(self.rows) + 1}, "id": "{name}", "made": 0, "said": {said}'
        self.rows.append(f'{row}, "refused": {why}}}')  # type: ignore[arg-type]

    @property
    def progress(self) -> Progress:
        """Return the marks so far."""
        return history_of(self.request, entries_of(self.work)).progress


def done(step: Json) -> Json:
    return {**step["said"], "which": step["which"]}


def test_steps_are_left_until_all_pieces_are_there() -> None:
    job = Job(ENDS)
    while job.standing["steps"]:
        assert job.say(done(job.standing["steps"][0])).refused[0][1] is None
    there = {piece["id"]: piece["there"] for piece in job.standing["pieces"]}
    assert there == {"end": 4, "strip": 2, "whole": 0}
    assert job.standing["tiles"][0]["needed"] == 2  # the two that are laid whole
    job.say({"kind": "laid", "piece": "whole", "times": 2})
    assert job.standing["tiles"][0]["needed"] == 0


def test_a_cut_is_made_once_whoever_says_so() -> None:
    job = Job(ENDS)
    step = done(job.standing["steps"][0])
    job.say(step)
    found = job.say(step)
    assert found.refused[0][1] == "this cut is made already, or its part does not lie on the bench"
    assert len(job.progress.marks) == len(step["which"]) * len(step["cuts"])
    assert job.standing["history"][0]["refused"]


def test_a_notch_is_done_after_both_strokes_and_a_hole_is_drilled_after_it() -> None:
    job = Job(NOTCHED)
    names = [step["name"] for step in job.standing["steps"]]
    strokes = [name for name in names if ".c2." in name]
    assert [name[-1] for name in strokes] == ["1", "2"]
    seen = []
    while job.standing["steps"]:
        step = job.standing["steps"][0]
        seen.append(step["name"])
        before = len(job.progress.marks)
        job.say(done(step))
        made = len(job.progress.marks) - before
        assert made == len(step["said"]["cuts"])
        there = job.standing["pieces"][0]["there"]
        assert there == (1 if not job.standing["steps"] else 0)
    assert sorted(seen) == sorted(names)
    assert seen[-1] == next(name for name in names if ".s" in name)


def test_a_break_makes_a_plan_and_taking_it_back_takes_the_plan_back() -> None:
    job = Job(ENDS)
    before = job.standing["steps"]
    step = before[0]
    broken = {"kind": "broken", "cut_tile": step["tile"], "part": 0}
    found = job.say(broken)
    assert found.plan is not None
    assert job.standing["replanned"]
    assert step["tile"] not in {one["tile"] for one in job.standing["steps"]}
    assert job.say({"kind": "undo", "entry": "entry-0000"}).refused[0][1] is None
    assert job.standing["steps"] == before
    again = job.say({"kind": "undo", "entry": "entry-0000"})
    assert again.refused[0][1] == "this was taken back already"
    kinds = [mark.kind for mark in job.progress.marks]
    assert kinds == ["broken", "replanned", "undone", "undone"]


def test_what_can_still_be_used_is_used() -> None:
    job = Job(ENDS)
    step = job.standing["steps"][0]
    usable = [{"width": "26 cm", "height": "300", "factory_edges": ["top", "bottom"]}]
    job.say({"kind": "broken", "cut_tile": step["tile"], "part": 0, "usable": usable})
    request, made = in_force(job.work)
    assert [offcut.id for offcut in request.offcuts] == ["broken 1a"]
    assert "broken 1a" in {one.stock for one in made.cut_tiles}


@pytest.mark.parametrize("width", ["0", "x", "-3", "9 m", "1 furlong"])
def test_a_measure_that_is_none_is_refused_or_has_no_plan(width: str) -> None:
    job = Job(ENDS)
    steps = job.standing["steps"]
    found = job.say({"kind": "measured", "piece": "end", "width": width, "height": "300"})
    assert found.refused[0][1] or job.standing["problem"]
    if found.refused[0][1]:
        assert job.standing["steps"] == steps


def test_a_piece_that_fits_no_tile_any_more_is_said_and_the_rest_goes_on() -> None:
    job = Job(ENDS)
    job.say({"kind": "measured", "piece": "strip", "width": "601", "height": "300"})
    assert "strip" in job.standing["problem"] or "601" in job.standing["problem"]
    job.say({"kind": "undo", "entry": "entry-0000"})
    assert job.standing["problem"] is None
    assert job.standing["steps"]


def test_papers_are_those_of_the_plan_in_force() -> None:
    job = Job(ENDS)
    whole = print_papers(job.work, (job.request.text(), "fence", "a4", "http://saw/pieces/"))
    assert whole.startswith(b"%PDF")
    assert Progress.read(progress_text(job.work)).marks == ()
    step = job.standing["steps"][0]
    job.say({"kind": "broken", "cut_tile": step["tile"], "part": 0})
    assert in_force(job.work)[1].cut_tiles != Plan.read(job.work.plan).cut_tiles
    assert print_papers(job.work, (job.request.text(), "fence", "letter", "")) != whole


@pytest.mark.parametrize("seed", range(6))
def test_any_history_ends_with_every_piece_and_passes_the_independent_check(seed: int) -> None:
    chance = random.Random(seed)
    job = Job(ENDS)
    for turn in range(60):
        steps = job.standing["steps"]
        if not steps:
            break
        step = chance.choice([steps[0], steps[-1]])
        lot = chance.random() if turn < 30 else 1.0
        if lot < 0.1 and job.standing["undo"]:
            job.say({"kind": "undo", "entry": job.standing["undo"]["id"]})
        elif lot < 0.25:
            which, part = step["which"][0], step["part"]
            job.say({"kind": "broken", "cut_tile": step["tile"], "which": which, "part": part})
        else:
            job.say(done(step))
    assert not job.standing["steps"]
    there = {piece["id"]: piece["there"] for piece in job.standing["pieces"]}
    assert there == {"end": 4, "strip": 2, "whole": 0}
    assert not check_history(job.request, job.plan, job.progress)
