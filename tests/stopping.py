"""A stop that counts what this process works: tests mind nothing else that the machine does."""

import time
from dataclasses import dataclass, field

from cutopt.stop import Progress, Reason


@dataclass(frozen=True)
class ProcessorSeconds:
    """Stop when this process has worked for so many seconds since it was made."""

    seconds: float
    since: float = field(default_factory=time.process_time)

    def reason(self, progress: Progress) -> Reason | None:
        """Return "time" when the time is over."""
        del progress
        return None if self.seconds_left() > 0 else "time"

    def seconds_left(self) -> float:
        """Return the seconds that are left."""
        return self.since + self.seconds - time.process_time()
