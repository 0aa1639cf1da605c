"""`cutopt keys`: makes, lists and revokes the keys of the service."""

import argparse
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime

from api.keys import SCOPES, TENANT, Keys
from api.runs.tables import connect
from api.settings import from_environment
from cutopt.command.options import Parser
from cutopt.command.refused import DONE, Refused
from cutopt.command.terminal import say, tell


def main(argv: Sequence[str]) -> int:
    """Do what the arguments say."""
    options = _parser().parse_args(argv)
    with _keys() as keys:
        options.run(keys, options)
    return DONE


@contextmanager
def _keys() -> Iterator[Keys]:
    with from_environment("cutopt keys") as settings:
        engine = connect(settings.database_url)
        try:
            yield Keys(engine)
        finally:
            engine.dispose()


def _make(keys: Keys, options: argparse.Namespace) -> None:
    if not TENANT.fullmatch(options.tenant):
        raise Refused(["a tenant is 1 to 63 of a-z, 0-9 and -, and begins with no -"])
    say(keys.make(options.tenant, tuple(options.scope or SCOPES)) + "\n")
    tell("keep it well: only its hash is stored, it cannot be shown again")


def _list(keys: Keys, _: argparse.Namespace) -> None:
    for key in keys.all():
        made = datetime.fromtimestamp(key.created, UTC).isoformat(timespec="seconds")
        state = "valid" if key.revoked is None else "revoked"
        say(f"{key.id}  {key.tenant}  {','.join(key.scopes)}  {made}  {state}\n")


def _revoke(keys: Keys, options: argparse.Namespace) -> None:
    if not keys.revoke(options.id):
        raise Refused([f"there is no valid key with the id {options.id!r}"])
    tell("revoked; running services heed it within 5 seconds")


def _parser() -> Parser:
    parser = Parser(
        prog="cutopt keys",
        description="Makes, lists and revokes the keys of the service. CUTOPT_DATABASE says where "
        "they are kept, as for cutopt serve.",
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(metavar="WHAT", required=True, parser_class=Parser)
    make = commands.add_parser("make", help="make a key and print it, once")
    make.add_argument("tenant", help="whose it is; tenants do not see each other's runs")
    make.add_argument("--scope", action="append", choices=SCOPES, help="usually both")
    make.set_defaults(run=_make)
    commands.add_parser("list", help="list all keys").set_defaults(run=_list)
    revoke = commands.add_parser("revoke", help="revoke a key")
    revoke.add_argument("id", help="the first column of the list")
    revoke.set_defaults(run=_revoke)
    return parser
