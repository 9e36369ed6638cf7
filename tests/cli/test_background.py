"""The workbench opens beside the terminal, is found again, and closes when told to."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.request import ProxyHandler, build_opener

import pytest

from thumbwright.cli.serving import unit_secret
from thumbwright.storage.holding import NOTE, Running, is_held, running

SHORT_S = 100


@pytest.fixture(name="port")
def fixture_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@pytest.fixture(name="store")
def fixture_store(tmp_path: Path) -> Iterator[Path]:
    folder = tmp_path / "workbench"
    yield folder
    there = running(folder)
    if there is not None:
        os.kill(there.pid, signal.SIGKILL)


def serve(store: Path, *words: str) -> subprocess.CompletedProcess[bytes]:
    """Start the command with its output in pipes, which it must not leave open."""
    command = [sys.executable, "-P", "-m", "thumbwright", "serve", "--store", str(store), *words]
    return subprocess.run(command, capture_output=True, timeout=SHORT_S, check=False)


def open_beside(store: Path, port: int) -> tuple[Running, str]:
    done = serve(store, "--port", str(port), "--background")
    assert done.returncode == 0, done.stderr.decode()
    there = running(store)
    assert there is not None
    return there, done.stdout.decode()


def page_of(there: Running) -> str:
    with build_opener(ProxyHandler({})).open(there.address, timeout=SHORT_S) as answer:
        return str(answer.read().decode())


def wait_until_let_go(store: Path) -> None:
    until = time.monotonic() + SHORT_S
    while is_held(store) and time.monotonic() < until:
        time.sleep(0.02)


def test_it_opens_is_found_again_refuses_a_second_server_and_closes(store: Path, port: int) -> None:
    there, said = open_beside(store, port)
    assert there.address == f"http://127.0.0.1:{port}/"
    assert there.address in said
    assert "--stop" in said
    assert "Cases" in page_of(there)
    again, said = open_beside(store, port)
    assert again == there
    assert "open already" in said
    second = serve(store, "--port", str(port))
    assert second.returncode == 2
    assert there.address.encode() in second.stderr
    assert b"allowed is one program at a time" in second.stderr
    closed = serve(store, "--stop")
    assert (closed.returncode, closed.stdout) == (0, b"The workbench is closed.\n")
    assert not is_held(store)
    assert not (store / NOTE).exists()
    with pytest.raises(OSError, match="refused"):
        page_of(there)
    nothing = serve(store, "--stop")
    assert nothing.returncode == 0
    assert b"No workbench is open" in nothing.stdout


def test_a_taken_port_gives_the_next_and_a_killed_server_leaves_nothing_behind(
    store: Path, port: int
) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        there, said = open_beside(store, port)
    assert f"Port {port} is taken" in said
    assert there.address != f"http://127.0.0.1:{port}/"
    assert there.address in said
    secret = unit_secret(store)
    os.kill(there.pid, signal.SIGKILL)
    wait_until_let_go(store)
    assert (store / NOTE).exists()
    assert running(store) is None
    fresh, _ = open_beside(store, port)
    assert fresh.pid != there.pid
    assert "Cases" in page_of(fresh)
    assert unit_secret(store) == secret
    assert serve(store, "--stop").returncode == 0


def test_what_cannot_be_opened_is_said_with_what_the_server_said(store: Path, port: int) -> None:
    (store / "store").mkdir(parents=True)
    (store / "store" / "cases.db").write_bytes(b"no database" * 100)
    done = serve(store, "--port", str(port), "--background")
    assert done.returncode == 2
    assert b"does not answer" in done.stderr
    assert b"cannot be used as the database" in done.stderr
    assert b"Traceback" not in done.stderr
