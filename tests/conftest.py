"""What every test shares: Hypothesis repeats the same cases everywhere, and never judges by the clock."""

import pytest
from hypothesis import settings

settings.register_profile("same-everywhere", deadline=None, derandomize=True)
settings.register_profile("hunt", deadline=None, max_examples=2000)
settings.load_profile("same-everywhere")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    # the types take longest of all: begun last, one core would wait for the other
    items.sort(key=lambda item: item.path.name != "test_repo_rules.py")
