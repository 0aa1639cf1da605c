"""Measurements of cutopt on stored instances; see README.md. Never imported by cutopt or api."""
