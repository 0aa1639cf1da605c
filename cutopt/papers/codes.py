"""Codes that open a piece on the phone: QR (ISO/IEC 18004), drawn as SVG."""

import io
from urllib.parse import quote

import segno


def code_of(link: str, name: str) -> bytes:
    """Return the code of a piece's address: the link, then the name percent-encoded."""
    drawn = io.BytesIO()
    code = segno.make(link + quote(name, safe=""), error="m", micro=False)
    # The quiet zone of four modules is part of the standard; without it phones fail to read.
    code.save(drawn, kind="svg", xmldecl=False, border=4, nl=False)
    return drawn.getvalue()
