"""Tells those who wait for a run of its changes: one look at the database for all of them."""

import asyncio
from collections import Counter

from api.runs.records import Records

_LOOK_EVERY = 0.1


class Watchers:
    """Everyone in this process who waits for a run."""

    def __init__(self, records: Records) -> None:
        self._records = records
        self._watched: Counter[str] = Counter()
        self._revisions: dict[str, int] = {}
        self._changed = asyncio.Condition()
        self._looking: asyncio.Task[None] | None = None

    async def changed(self, run: str, since: int, seconds: float) -> None:
        """Return when the run has a later revision, or the time is over."""
        self._watched[run] += 1
        if self._looking is None or self._looking.done():
            self._looking = asyncio.create_task(self._look())
        try:
            async with asyncio.timeout(seconds), self._changed:
                await self._changed.wait_for(lambda: self._revisions.get(run, since) != since)
        except TimeoutError:
            pass
        finally:
            self._watched -= Counter({run: 1})

    async def _look(self) -> None:
        while self._watched:
            await asyncio.sleep(_LOOK_EVERY)
            self._revisions = dict(
                await asyncio.to_thread(self._records.revisions, list(self._watched))
            )
            async with self._changed:
                self._changed.notify_all()
