"""Opening the workbench beside the terminal, and closing it."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import ProxyHandler, build_opener

import click

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.holding import Running, forget, is_held, running

LOG = "workbench.log"
LONGEST_START_S = 180.0
LONGEST_STOP_S = 30.0
LOOK_AGAIN_S = 0.05
LAST_LINES = 6
"""Lines of the log that are shown where it could not be opened."""


def start_beside(folder: Path, port: int, cases: Path | None) -> None:
    """Open the workbench in a process of its own, and say where once it answers.

    Raises
    ------
    PlanError
        If it does not come up.
    """
    if is_held(folder):
        there = _answering(folder, None)
        click.echo(f"The workbench is open already, at {there.address}")
    else:
        child = _started(folder, port, cases)
        there = _answering(folder, child)
        if not there.address.endswith(f":{port}/"):
            click.echo(f"Port {port} is taken by something else; the next free one was taken.")
        click.echo(f"The workbench is open at {there.address}")
        click.echo(f"What it says is kept in {folder / LOG}.")
    click.echo(f"To close it: {sys.executable} -m thumbwright serve --store {folder} --stop")


def stop_beside(folder: Path) -> None:
    """Close the workbench that is open on a store, if one is.

    Raises
    ------
    PlanError
        If it does not end.
    """
    there = running(folder)
    if there is None and not is_held(folder):
        if folder.is_dir():
            forget(folder)
        click.echo(f"No workbench is open on {folder}.")
        return
    if there is not None:
        os.kill(there.pid, signal.SIGTERM)
    until = time.monotonic() + LONGEST_STOP_S
    while is_held(folder):
        if time.monotonic() > until:
            msg = (
                f"the program that holds {folder} was asked to end and has not; allowed is to wait "
                "until it is done; try again shortly"
            )
            raise PlanError(msg)
        time.sleep(LOOK_AGAIN_S)
    forget(folder)
    click.echo("The workbench is closed.")


def _started(folder: Path, port: int, cases: Path | None) -> "subprocess.Popen[bytes]":
    command = [sys.executable, "-P", "-m", "thumbwright", "serve"]
    command += ["--store", str(folder.absolute()), "--port", str(port)]
    command += [] if cases is None else ["--demo", str(cases.absolute())]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with (folder / LOG).open("ab") as log:
            # No pipe of the caller stays open in it, and no signal to the terminal reaches it.
            return subprocess.Popen(  # noqa: S603  our own program with checked words
                command,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
                close_fds=True,
            )
    except OSError as fault:
        msg = (
            f"the workbench could not be opened on {folder} ({fault.strerror}); allowed is a "
            "folder that may be written to; choose another with --store"
        )
        raise PlanError(msg) from fault


def _answering(folder: Path, child: "subprocess.Popen[bytes] | None") -> Running:
    """Wait until a workbench answers on a store."""
    until = time.monotonic() + LONGEST_START_S
    opener = build_opener(ProxyHandler({}))
    while time.monotonic() < until and (child is None or child.poll() is None):
        there = running(folder)
        if there is not None and (child is None or there.pid == child.pid):
            try:
                with opener.open(there.address, timeout=LONGEST_START_S):
                    return there
            except (URLError, OSError):
                pass
        elif child is None and not is_held(folder):
            break
        time.sleep(LOOK_AGAIN_S)
    told = "; ".join(_last_lines(folder))
    msg = (
        f"the workbench on {folder} does not answer ({told or 'it said nothing'}); allowed is a "
        f"sound store and a free port; see {folder / LOG}"
    )
    raise PlanError(msg)


def _last_lines(folder: Path) -> list[str]:
    try:
        return (folder / LOG).read_text("utf-8", errors="replace").splitlines()[-LAST_LINES:]
    except OSError:
        return []
