"""Tests of request and plan: what is read, what is refused and how."""
