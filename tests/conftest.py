"""What every test shares: Hypothesis repeats the same cases everywhere, and never judges by the clock."""

from hypothesis import settings

settings.register_profile("same-everywhere", deadline=None, derandomize=True)
settings.register_profile("hunt", deadline=None, max_examples=2000)
settings.load_profile("same-everywhere")
