"""API keys: made once, shown once, kept as a hash; each is one tenant's, with scopes."""

import hashlib
import hmac
import re
import secrets
import time
from dataclasses import dataclass

import sqlalchemy as sa

from api.runs.tables import KEYS

#: What a key may be good for: reading runs and plans, or also making and cancelling them.
SCOPES = ("read", "plan")
TENANT = re.compile(r"[a-z0-9][a-z0-9-]{0,62}")
_KEPT_SECONDS = 5.0


@dataclass(frozen=True, slots=True)
class Key:
    """A key as it is known afterwards: all but the secret."""

    id: str
    tenant: str
    scopes: tuple[str, ...]
    created: float
    revoked: float | None


class Keys:
    """The keys in the database."""

    def __init__(self, engine: sa.Engine) -> None:
        self._engine = engine
        self._known: dict[str, tuple[float, Key | None, str]] = {}

    def make(self, tenant: str, scopes: tuple[str, ...]) -> str:
        """Return a new key; nobody can show it again."""
        identity, secret = secrets.token_hex(8), secrets.token_urlsafe(32)
        values = {"id": identity, "hash": _hash(secret), "tenant": tenant, "created": time.time()}
        with self._engine.begin() as db:
            db.execute(sa.insert(KEYS).values(values | {"scopes": " ".join(scopes)}))
        return f"cutopt_{identity}_{secret}"

    def all(self) -> list[Key]:
        """Return every key, revoked ones too."""
        with self._engine.connect() as db:
            return [_key(row) for row in db.execute(sa.select(KEYS).order_by(KEYS.c.created))]

    def revoke(self, identity: str) -> bool:
        """Make a key good for nothing; return whether there was one that was."""
        revoked = sa.update(KEYS).where((KEYS.c.id == identity) & KEYS.c.revoked.is_(None))
        with self._engine.begin() as db:
            return db.execute(revoked.values(revoked=time.time())).rowcount > 0

    def any_valid(self) -> bool:
        """Return whether there is a key that is good for something."""
        return any(key.revoked is None for key in self.all())

    def who(self, text: str) -> Key | None:
        """Return the key that this text is, unless it is none or was revoked.

        What was read is trusted for some seconds, so that not every request asks the database;
        a key that is revoked stays good for so long.
        """
        parts = text.split("_", 2)
        if len(parts) != 3 or parts[0] != "cutopt" or len(parts[1]) != 16:
            return None
        key, expected = self._read(parts[1])
        given = _hash(parts[2])
        return key if key and hmac.compare_digest(given, expected) else None

    def _read(self, identity: str) -> tuple[Key | None, str]:
        now = time.monotonic()
        known = self._known.get(identity)
        if known is None or known[0] < now:
            if len(self._known) > 10_000:
                self._known.clear()
            with self._engine.connect() as db:
                row = db.execute(sa.select(KEYS).where(KEYS.c.id == identity)).first()
            valid = row is not None and row.revoked is None
            known = (now + _KEPT_SECONDS, _key(row) if valid else None, row.hash if row else "")
            self._known[identity] = known
        return known[1], known[2]


def _hash(secret: str) -> str:
    # 256 random bits need no slow hash: there is nothing to guess.
    return hashlib.sha256(secret.encode()).hexdigest()


def _key(row: sa.Row[tuple[object, ...]] | None) -> Key:
    assert row is not None
    return Key(row.id, row.tenant, tuple(row.scopes.split()), row.created, row.revoked)
