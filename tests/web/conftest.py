"""A film under a small server, a browser, and the page of that film."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page
from tests.web.film_bench import Workbench, chromium, film_served, opened


@pytest.fixture
def bench() -> Iterator[Workbench]:
    """Serve one film."""
    with film_served() as made:
        yield made


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Give Debian's chromium."""
    with chromium() as made:
        yield made


@pytest.fixture
def page(browser: Browser, bench: Workbench) -> Iterator[Page]:
    """Open the page of that film."""
    with opened(browser, bench) as made:
        yield made
