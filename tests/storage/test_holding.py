"""One program at a time holds a store, and a killed one holds it no longer."""

import subprocess
import sys
from pathlib import Path

import pytest

from thumbwright.storage.holding import (
    NOTE,
    HeldError,
    held,
    is_held,
    running,
    tell_where,
)
from thumbwright.storage.records import StoreError

HOLDER = """
import sys, time
from pathlib import Path
from thumbwright.storage.holding import held, tell_where
with held(Path(sys.argv[1])):
    tell_where(Path(sys.argv[1]), "http://127.0.0.1:1/")
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_store_is_held_once_and_let_go_at_the_end(tmp_path: Path) -> None:
    assert not is_held(tmp_path)
    with held(tmp_path):
        assert is_held(tmp_path)
        tell_where(tmp_path, "http://127.0.0.1:7/")
        with pytest.raises(HeldError, match=r"http://127\.0\.0\.1:7/"), held(tmp_path, 0.0):
            pass
    assert not is_held(tmp_path)
    assert running(tmp_path) is None


def test_a_killed_program_holds_nothing_and_its_note_is_not_believed(tmp_path: Path) -> None:
    command = [sys.executable, "-c", HOLDER, str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"held\n"
        there = running(tmp_path)
        assert there is not None
        assert there.pid == process.pid
        process.kill()
        process.wait(30)
    assert (tmp_path / NOTE).exists()
    assert running(tmp_path) is None
    with held(tmp_path):
        assert not (tmp_path / NOTE).exists()


def test_a_folder_that_cannot_be_used_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="cannot be used"), held(tmp_path / "file"):
        pass
