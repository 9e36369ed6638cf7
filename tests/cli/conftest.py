"""The commands as a user starts them, and small cases to start them on."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from shutil import copytree

import pytest

_ROOT = str(Path(__file__).parents[2])
if _ROOT not in sys.path:
    sys.path.insert(0, _ROOT)

from tests.pathway.five_cases import Built, five_cases  # noqa: E402  after the path is set

from thumbwright.cli.commands import main  # noqa: E402  as above


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a command said, and with which code it ended."""

    code: int
    out: str
    err: str


Start = Callable[..., Said]


@pytest.fixture(name="start")
def fixture_start(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Start:
    """Return what starts the program with the words of a command line."""

    def start(*words: object) -> Said:
        monkeypatch.setattr(sys, "argv", ["thumbwright", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return Said(code=int(ended.value.code or 0), out=told.out, err=told.err)

    return start


@pytest.fixture(scope="session", name="five")
def fixture_five(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    """Return the five cases by the key of their person."""
    return five_cases(tmp_path_factory)


@pytest.fixture(name="girl")
def fixture_girl(five: dict[str, Built], tmp_path: Path) -> Path:
    """Return a folder with a case and its films that a test may spoil."""
    copytree(five["girl"].folder, tmp_path / "girl")
    return tmp_path / "girl"
