"""The tests of cutopt and its service."""
