"""The five invented cases, built once, small."""

import sys
from pathlib import Path

import pytest

_ROOT = str(Path(__file__).parents[2])
if _ROOT not in sys.path:
    sys.path.insert(0, _ROOT)

from tests.pathway.five_cases import Built, five_cases  # noqa: E402  after the path is set


@pytest.fixture(scope="session", name="five")
def fixture_five(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    """Return the five cases by the key of their person."""
    return five_cases(tmp_path_factory)
