"""Property tests give the same cases on every run and have no clock on slow machines."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")
