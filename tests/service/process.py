"""The service or a worker as a process of its own, with the planners that misbehave."""

import os

from api import logs
from api.app import create_app
from api.serve import Server, listen
from api.settings import Settings
from api.work import work
from tests.service import planners


def main(what: str) -> None:
    """Serve on the port of the environment, or work."""
    settings = Settings.read(os.environ)
    logs.set_up()
    if what == "work":
        work(settings, planners.plan)
    else:
        with listen(settings.listen_host, settings.listen_port) as listener:
            Server(create_app(settings, planner=planners.plan)).run(sockets=[listener])
