"""Tests of the service, through real HTTP."""
