"""How much each tenant may ask for: requests by the minute, runs at the same time."""

import math
import time
from dataclasses import dataclass, field

_WINDOW = 60


@dataclass
class Bucket:
    """So many requests a minute, refilled evenly (a token bucket)."""

    level: float
    at: float


@dataclass
class Limits:
    """The buckets of all tenants, in this process."""

    per_minute: int
    _buckets: dict[str, Bucket] = field(default_factory=dict)

    def take(self, tenant: str) -> tuple[bool, dict[str, str]]:
        """Return whether one more request is within the limit, and the headers that say so.

        `RateLimit-Policy` and `RateLimit` are those of the IETF draft on rate limit fields.
        """
        if not self.per_minute:
            return True, {}
        now = time.monotonic()
        bucket = self._buckets.setdefault(tenant, Bucket(self.per_minute, now))
        refill = (now - bucket.at) * self.per_minute / _WINDOW
        bucket.level, bucket.at = min(bucket.level + refill, self.per_minute), now
        allowed = bucket.level >= 1
        bucket.level -= allowed
        return allowed, self._headers(bucket, allowed)

    def _headers(self, bucket: Bucket, allowed: bool) -> dict[str, str]:
        wait = math.ceil(max(1 - bucket.level, 0) * _WINDOW / self.per_minute)
        headers = {
            "RateLimit-Policy": f'"requests";q={self.per_minute};w={_WINDOW}',
            "RateLimit": f'"requests";r={int(bucket.level)};t={wait}',
        }
        return headers if allowed else headers | {"Retry-After": str(max(wait, 1))}
