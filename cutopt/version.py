"""The version, said once."""

VERSION = "0.1.0"
MADE_BY = f"cutopt {VERSION}"
