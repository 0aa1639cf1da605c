"""Checks from outside: jobs whose answer is published, each with its source beside it."""
