"""The real server as a process of its own, for tests that kill it or load it."""

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.error import URLError
from urllib.request import ProxyHandler, build_opener

LONGEST_START_S = 60.0
LONGEST_STOP_S = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """A server that was started, and where it answers."""

    process: "subprocess.Popen[bytes]"
    address: str

    def kill(self) -> None:
        """Kill it without a warning, and wait until it is gone."""
        self.process.kill()
        self.process.wait(LONGEST_STOP_S)

    def stop(self) -> None:
        """Ask it to stop, and wait until it is gone."""
        self.process.terminate()
        try:
            self.process.wait(LONGEST_STOP_S)
        except subprocess.TimeoutExpired:
            self.kill()

    def wait_until_it_answers(self) -> None:
        """Wait until the list of cases can be had.

        Raises
        ------
        RuntimeError
            If the server ends before, or needs too long.
        """
        opener = build_opener(ProxyHandler({}))
        until = time.monotonic() + LONGEST_START_S
        while time.monotonic() < until and self.process.poll() is None:
            try:
                with opener.open(self.address, timeout=LONGEST_START_S):
                    return
            except (URLError, ConnectionError):
                time.sleep(0.02)
        msg = f"no answer from {self.address} (the server's exit code: {self.process.poll()})"
        raise RuntimeError(msg)

    def peak_memory_mib(self) -> float:
        """Return the largest memory the server ever held; Linux only [MiB]."""
        text = Path(f"/proc/{self.process.pid}/status").read_text(encoding="ascii")
        (kib,) = [line.split()[1] for line in text.splitlines() if line.startswith("VmHWM")]
        return int(kib) / 1024


@contextmanager
def started(folder: Path) -> Iterator[Served]:
    """Start the server over a store without waiting for it; it is gone at the end."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-P", "-m", "thumbwright", "serve"]
    command += ["--store", str(folder), "--port", str(port)]
    with subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL
    ) as process:
        server = Served(process=process, address=f"http://127.0.0.1:{port}")
        try:
            yield server
        finally:
            if process.poll() is None:
                server.stop()


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """Start the server over a store and give it once it answers."""
    with started(folder) as server:
        server.wait_until_it_answers()
        yield server
