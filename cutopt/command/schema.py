"""`cutopt schema`: the JSON Schema of a document."""

import argparse
import json

from cutopt.command.options import Commands
from cutopt.command.refused import DONE
from cutopt.command.terminal import emit
from cutopt.formats import DOCUMENTS, schema_of


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "schema",
        help="print the JSON Schema of a document",
        description="Prints the JSON Schema (2020-12) of a document that cutopt reads or writes.",
        allow_abbrev=False,
    )
    parser.add_argument("name", choices=sorted(DOCUMENTS), help="which document")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the schema that the options name."""
    emit(json.dumps(schema_of(options.name), indent=2, ensure_ascii=False) + "\n")
    return DONE
