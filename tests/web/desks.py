"""A desk with one invented case, and the workbench over it, for the tests of pages."""

import datetime as dt
import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from shutil import copytree
from tempfile import mkdtemp

from starlette.testclient import TestClient

from thumbwright.cli.serving import put_demo_in
from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
PATIENCE_S = 120.0
SECRET = b"a secret of sixteen bytes or more"


@cache
def _demo() -> Path:
    """Return a folder of one store with the demo cases, made once for a worker."""
    folder = Path(mkdtemp(prefix="desk"))
    desk = Desk(folder / "demo", lambda: NOW)
    put_demo_in(desk, folder / "cases")
    desk.close()
    return folder / "demo"


@contextmanager
def demo_desk(folder: Path, patience_s: float = PATIENCE_S) -> Iterator[Desk]:
    """Give a desk with the five invented cases, whose pages wait for their plans."""
    copytree(_demo(), folder, dirs_exist_ok=True)
    desk = Desk(folder, lambda: NOW, patience_s)
    try:
        yield desk
    finally:
        desk.close()


@contextmanager
def visitor(desk: Desk, who: str = "Dr A") -> Iterator[TestClient]:
    """Give a browser without a screen, at a desk, under a name."""
    app = create_app(desk)
    app.state.secret = SECRET
    with TestClient(app, raise_server_exceptions=True) as client:
        if who:
            assert client.post("/who", data={"name": who}).status_code == 200
        yield client


def case_file(**changed: object) -> bytes:
    """Return a small case file as bytes."""
    case = {
        "thumbwright_case": 1,
        "case_id": "T-1",
        "examined_on": "2026-11-20",
        "patient": {"pseudonym": "Turner", "birth_date": "1980-01-01", "sex": "male"},
        "injury": {"side": "left", "mechanism": "sharp"},
    }
    return json.dumps(case | changed).encode()
