"""Pages from a template and its data, as a PDF: the same bytes every time."""

import json
import os
from collections.abc import Mapping
from importlib.resources import as_file, files
from typing import Any, Literal

import typst

Paper = Literal["a4", "letter"]

TYPST_PAPER = {"a4": "a4", "letter": "us-letter"}


def printed(template: str, data: Mapping[str, Any], drawings: Mapping[str, bytes]) -> bytes:
    """Return the PDF that a template of this package makes of data and drawings, by name."""
    words = json.dumps(data, ensure_ascii=False)
    # typst takes files in memory, by name, though its annotations do not say so.
    contents: Any = {
        "main.typ": files("cutopt.papers").joinpath(template).read_bytes(),
        "data.json": words.encode(),
        **drawings,
    }
    with as_file(files("cutopt.papers").joinpath("fonts")) as fonts:
        return bytes(
            typst.compile(
                contents,
                timestamp=0,
                font_paths=[os.fspath(fonts)],
                ignore_system_fonts=all(map(_has_own_font, words)),
            )
        )


def _has_own_font(character: str) -> bool:
    """Tell whether the fonts that come along hold a character: Latin, Greek, Cyrillic, signs.

    They give the same bytes on every machine; other scripts need a font of the system.
    """
    return ord(character) < 0x530 or 0x1E00 <= ord(character) < 0x2600 or character == "\ufffd"
