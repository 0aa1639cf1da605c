"""cutopt."""
