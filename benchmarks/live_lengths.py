"""Time from a drag's request to its answer, through the real server on this machine.

Run as ``python benchmarks/live_lengths.py``. One of the invented cases with all its films is
served over loopback; points of one film are moved as a drag moves them, one request after the
other, on the page of the film and on the page of two films side by side. The run fails if 95 %
of the answers do not come within the limit.
"""

import datetime as dt
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from threading import Thread
from time import perf_counter, sleep
from typing import Any

import uvicorn

from thumbwright.cli.serving import put_demo_in
from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk
from thumbwright.web.film_points import film_points
from thumbwright.web.stored_documents import notes_of

CASE = "girl"
STEPS = 200
LIMIT_MS = 50.0
DAY = dt.datetime(2026, 11, 25, tzinfo=dt.UTC)


def main() -> None:
    """Print median and 95th percentile; end with an error if the limit is not held."""
    with TemporaryDirectory() as folder, served(Path(folder)) as (port, points):
        late = []
        for name, path, bodies in drags(points):
            times = [one * 1000 for one in timed(port, path, bodies)]
            p95 = quantiles(times, n=20)[-1]
            print(f"{name:28} median {median(times):6.1f} ms   95 % within {p95:6.1f} ms")
            if p95 > LIMIT_MS:
                late.append(name)
    if late:
        sys.exit(f"over {LIMIT_MS:g} ms: {', '.join(late)}")


@contextmanager
def served(folder: Path) -> Iterator[tuple[int, dict[str, list[Any]]]]:
    """Serve the invented cases; give the port and the points of each film of one case."""
    desk = Desk(folder / "desk", lambda: DAY)
    put_demo_in(desk, folder / "cases")
    notes = notes_of(desk.cases.case(CASE)).films
    server = uvicorn.Server(uvicorn.Config(create_app(desk), port=0, log_level="error", ws="none"))
    thread = Thread(target=server.run)
    thread.start()
    while not server.started:
        sleep(0.02)
    try:
        yield (
            server.servers[0].sockets[0].getsockname()[1],
            {note.file: film_points(note) for note in notes},
        )
    finally:
        server.should_exit = True
        thread.join()
        desk.close()


def drags(points: dict[str, list[Any]]) -> Iterator[tuple[str, str, list[bytes]]]:
    """Yield what is measured, where it is asked for, and the bodies of one drag after another."""
    for file in ("hand_left.dcm", "foot_left.dcm"):
        alone = [json.dumps({"points": moved(points[file], step)}) for step in range(STEPS)]
        path = f"/cases/{CASE}/films/{file}/live"
        yield f"film page, {file}", path, [body.encode() for body in alone]
    hand, foot = "hand_right.dcm", "foot_left.dcm"
    pick = {"hand": hand, "foot": foot, "toe": "second toe"}
    both = [
        {file: {"points": moved(points[file], step)} for file in (hand, foot)}
        for step in range(STEPS)
    ]
    bodies = [json.dumps({**pick, "films": films}).encode() for films in both]
    yield "hand and foot side by side", f"/cases/{CASE}/beside/live", bodies


def moved(points: list[Any], step: int) -> list[Any]:
    """Return the placed points with the first of them moved as in the middle of a drag."""
    placed = [point for point in points if point["col"] is not None]
    first = {**placed[0], "col": placed[0]["col"] + 0.1 * step}
    return [first, *placed[1:]]


def timed(port: int, path: str, bodies: list[bytes]) -> list[float]:
    """Send bodies one after the other and return how long each answer took [s]."""
    link = HTTPConnection("127.0.0.1", port)
    times = []
    for body in (bodies[0], *bodies):
        start = perf_counter()
        link.request("POST", path, body, {"Content-Type": "application/json"})
        answer = link.getresponse()
        answer.read()
        times.append(perf_counter() - start)
        if answer.status != 200:
            sys.exit(f"{path} answered {answer.status}")
    link.close()
    # the first one reads the films
    return times[1:]


if __name__ == "__main__":
    main()
