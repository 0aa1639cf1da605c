"""Tests of the command."""
