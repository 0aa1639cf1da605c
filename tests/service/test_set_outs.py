"""Setting out over HTTP: proposals, the job with one written in, and what is refused."""

import json

from api.settings import Settings
from cutopt.documents import Job
from cutopt.documents.set_out import SetOut
from tests.layout.jobs import job_data, surface
from tests.service.conftest import Serve

WALL = job_data(
    surface(width=1500, height=306, edges={"left": "open"}), setting_out=[{"move": "sideways"}]
)
JSON = {"Content-Type": "application/json"}


def test_proposals_and_the_job_with_one_written_in(serve: Serve) -> None:
    client = serve(Settings())
    answer = client.post("/v1/set-outs", json=WALL)
    assert answer.status_code == 200
    found = SetOut.read(answer.content)
    assert found.proven_best
    chosen = client.post("/v1/set-outs?choose=1", json=WALL)
    assert chosen.status_code == 200
    (wall,) = Job.read(chosen.content).rooms[0].surfaces
    assert wall.start is not None
    assert wall.start.x == found.proposals[0].starts[0].x


def test_what_is_refused(serve: Serve) -> None:
    client = serve(Settings())
    fixed = {**WALL, "setting_out": [{"move": "nothing"}]}
    answer = client.post("/v1/set-outs", json=fixed)
    assert (answer.status_code, answer.json()["faults"][0]["place"]) == (422, "/setting_out")
    answer = client.post("/v1/set-outs?choose=99", json=WALL)
    assert (answer.status_code, answer.json()["faults"][0]["place"]) == (422, "?choose")
    wrong = json.dumps(WALL)[:-1]
    assert client.post("/v1/set-outs", content=wrong, headers=JSON).status_code == 400
    assert client.post("/v1/set-outs?seconds=31", json=WALL).status_code == 422
