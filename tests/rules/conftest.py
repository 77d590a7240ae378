"""Property tests judge values, not the speed of a busy machine."""

from hypothesis import settings

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")
