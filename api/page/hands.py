"""What the page lets others do: reading, drawing and planning anew, in children of their own."""

from collections.abc import Callable
from typing import TypeVar

from api.problems import Refused
from api.runs.bench import Bench, Broken, Crashed, Deaf, Unfit
from api.runs.child import Limits, Planner
from api.runs.desk import busy
from api.runs.pool import Pool
from api.settings import Settings

Found = TypeVar("Found")
#: Children, so that a new plan for one job holds up no cut of another.
_HANDS = 2


class Hands:
    """Children that work for the page, each tenant served in turn."""

    def __init__(self, settings: Settings, planner: Planner) -> None:
        memory = settings.memory_mb * 1_000_000
        self._settings = settings
        self._pool = Pool(_HANDS, 0, lambda nice: Bench(planner, Limits(memory, nice)))

    async def do(self, tenant: str, task: Callable[..., Found], *arguments: object) -> Found:
        """Return what a function of a module brings, done in a child.

        Raises
        ------
        Refused
            When the input is wrong or too large a piece of work, or too much waits.
        """
        if self._pool.waiting() >= self._settings.waiting:
            raise busy()
        try:
            async with self._pool.bench(tenant, self._settings.most_wait_seconds) as seat:
                found: Found = await seat.do(lambda bench: bench.work(task, *arguments))
                return found
        except TimeoutError:
            raise busy() from None
        except Unfit as unfit:
            raise Refused(unfit.kind, "", unfit.faults) from None
        except (Crashed, Deaf):
            raise Refused("too-much-work", "") from None
        except Broken as fault:
            raise RuntimeError(str(fault)) from None

    def close(self) -> None:
        """Kill the children, once what they do is done."""
        self._pool.close()
