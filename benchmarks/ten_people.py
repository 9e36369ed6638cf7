"""How long pages take while ten people work at once on a hundred cases, against a limit."""

import datetime as dt
import random
import statistics
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2

from thumbwright.cli.serving import put_demo_in
from thumbwright.demo.people import PEOPLE as INVENTED
from thumbwright.web.desk import Desk

# The helper is shared with the tests, which are no part of the package.
sys.path.append(str(Path(__file__).parents[1]))
from tests.web.serving import Served, serving

PEOPLE = 10
CASES_EACH = 10
LASTS_S = 30.0
THINKS_S = 0.2
LIMIT_MS = 150.0
WHOLE, BEING_WORKED_OUT = 200, 202
ASKS_AGAIN_S = 0.05
PAGES = ("case", "hand", "films", "level", "options", "plan", "papers", "history")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """What was loaded, by page."""

    took_ms: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failed: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def load(self, client: httpx2.Client, page: str, path: str) -> None:
        """Load one page and note how long it took, or that it failed."""
        start = time.perf_counter()
        try:
            answer = client.get(path)
            was_there = answer.status_code == WHOLE
        except httpx2.TransportError:
            was_there = False
        self.took_ms[page].append(1000 * (time.perf_counter() - start))
        self.failed[page] += not was_there

    def all_ms(self) -> list[float]:
        """Return the time of every load."""
        return [one for several in self.took_ms.values() for one in several]


@contextmanager
def at_the_server(server: Served, who: str) -> Iterator[httpx2.Client]:
    """Give a browser without a screen, under a name."""
    with httpx2.Client(base_url=server.address, trust_env=False, timeout=60.0) as client:
        client.post("/who", data={"name": who})
        yield client


def hundred_cases(server: Served) -> list[str]:
    """Copy the invented cases and change one fact in each, so that no two plans are the same."""
    keys = [person.key for person in INVENTED]
    with at_the_server(server, "the copyist") as client:
        for number in range(PEOPLE * CASES_EACH - len(keys)):
            answer = client.post(f"/cases/{INVENTED[number % len(INVENTED)].key}/copy")
            keys.append(answer.headers["location"].split("/")[2].partition("?")[0])
        for number, key in enumerate(keys):
            span = f"{20 + number / 10:.1f}"
            form = {"based_on": "999999999", "kept.first_web_span_mm": span, "why": "measured"}
            answer = client.post(f"/cases/{key}/hand", data=form)
            if "fact" not in answer.headers.get("location", ""):
                sys.exit(f"case {key} could not be changed ({answer.status_code})")
    return keys


def first_looks(server: Served, keys: list[str]) -> Loads:
    """Open each case once, alone, and wait for its plan; the time runs until it is there."""
    loads, page = Loads(), "first look, alone"
    with at_the_server(server, "the early one") as client:
        for key in keys:
            start = time.perf_counter()
            answer = client.get(f"/cases/{key}")
            while answer.status_code == BEING_WORKED_OUT:
                time.sleep(ASKS_AGAIN_S)
                if client.get(f"/cases/{key}/working").json()["is_ready"]:
                    answer = client.get(f"/cases/{key}")
            loads.took_ms[page].append(1000 * (time.perf_counter() - start))
            loads.failed[page] += answer.status_code != WHOLE
    return loads


def works(server: Served, keys: list[str], until: float, seed: int) -> Loads:
    """Go through the cases of one person, page by page, until the time is over."""
    loads, chance = Loads(), random.Random(seed)  # noqa: S311  no secret hangs on it
    with at_the_server(server, f"Dr {seed}") as client:
        time.sleep(chance.uniform(0, THINKS_S))
        while time.perf_counter() < until:
            key = chance.choice(keys)
            paths = {"list": "/", "case": f"/cases/{key}"}
            paths |= {page: f"/cases/{key}/{page}" for page in PAGES[1:]}
            for page, path in paths.items():
                loads.load(client, page, path)
                time.sleep(chance.uniform(0.5, 1.5) * THINKS_S)
                if time.perf_counter() > until:
                    break
    return loads


def ten_people(server: Served, keys: list[str]) -> Loads:
    """Let all people work at once, each in cases of their own."""
    until = time.perf_counter() + LASTS_S
    found: list[Loads] = []

    def one(seed: int) -> None:
        found.append(works(server, keys[seed::PEOPLE], until, seed))

    threads = [threading.Thread(target=one, args=(seed,)) for seed in range(PEOPLE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    together = Loads()
    for loads in found:
        for page, took in loads.took_ms.items():
            together.took_ms[page] += took
            together.failed[page] += loads.failed[page]
    return together


def p95(took: list[float]) -> float:
    """Return the time under which 95 of 100 loads stay."""
    return statistics.quantiles(took, n=20, method="inclusive")[-1] if len(took) > 1 else took[0]


def row(page: str, took: list[float], failed: int) -> str:
    """Return one line of the table."""
    middle = statistics.median(took)
    return f"| {page} | {len(took)} | {middle:.0f} | {p95(took):.0f} | {max(took):.0f} | {failed} |"


def main() -> None:
    """Make a store of a hundred cases, load its pages, print a table."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "store"
        desk = Desk(folder, lambda: dt.datetime.now(tz=dt.UTC))  # noqa: TID251  as the server does
        put_demo_in(desk, Path(scratch) / "cases")
        desk.close()
        with serving(folder) as server:
            keys = hundred_cases(server)
            alone = first_looks(server, keys)
            loads = ten_people(server, keys)
            memory = server.peak_memory_mib()
    print(f"\n{len(keys)} cases, {PEOPLE} people at once, {LASTS_S:g} s\n")
    print(
        "| page | loads | median [ms] | p95 [ms] | worst [ms] | failed |\n|---|---|---|---|---|---|"
    )
    for part in (alone, loads):
        for page, took in part.took_ms.items():
            print(row(page, took, part.failed[page]))
    took, failed = loads.all_ms(), sum((*loads.failed.values(), *alone.failed.values()))
    print(row("**all, ten people**", took, failed))
    print(f"| largest memory of the server [MiB] | {memory:.0f} | | | | |")
    if failed:
        sys.exit(f"{failed} loads failed")
    if p95(took) > LIMIT_MS:
        sys.exit(f"p95 {p95(took):.0f} ms is over the limit of {LIMIT_MS:g} ms (a quiet machine?)")


if __name__ == "__main__":
    main()
