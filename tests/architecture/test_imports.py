"""The direction of imports is the one that is written down."""

from pathlib import Path

import pytest
from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).resolve().parents[2]


def test_every_import_points_the_way_it_should(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    status = lint_imports(no_cache=True, show_timings=False)
    assert status == EXIT_STATUS_SUCCESS, capsys.readouterr().out
