"""What all tests share: hypothesis draws the same examples in every run."""

from hypothesis import settings

settings.register_profile("same every time", derandomize=True, deadline=None, database=None)
settings.load_profile("same every time")
