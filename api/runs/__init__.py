"""Runs: requests that are executed once, whatever happens to the processes that do it."""
