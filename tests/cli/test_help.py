"""Help comes whatever else is wrong, and the program starts as a program."""

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from thumbwright import __version__
from thumbwright.cli.commands import commands

NAMES = ("ahead", "check", "demo", "intake", "plan", "propose", "restore", "serve")


def test_the_commands_are_those_that_the_help_lists() -> None:
    assert tuple(sorted(commands.commands)) == NAMES
    shown = CliRunner().invoke(commands, ["--help"])
    assert shown.exit_code == 0
    assert all(f"\n  {name} " in shown.output for name in NAMES)
    assert "decides nothing" in shown.output
    assert "..." not in shown.output.split("Commands:")[1]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("asked", ["--help", "-h"])
@pytest.mark.parametrize("beside", [(), ("--films",), ("--day", "never"), ("nothing", "of", "use")])
def test_each_command_helps_whatever_else_is_given(
    name: str, asked: str, beside: tuple[str, ...]
) -> None:
    for words in ([name, asked, *beside], [name, *beside, asked]):
        shown = CliRunner().invoke(commands, words)
        assert shown.exit_code == 0
        assert shown.output.startswith("Usage: ")
        assert "-h, --help" in shown.output


def test_every_option_says_what_it_is() -> None:
    for command in commands.commands.values():
        assert command.help
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                assert parameter.help, (command.name, parameter.name)


def run(*words: str, where: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "thumbwright", *words],
        cwd=where,
        env=environment,
        capture_output=True,
        timeout=60,
        check=False,
    )


def test_help_and_version_come_in_a_bare_environment(tmp_path: Path) -> None:
    shown = run("--help", where=tmp_path, LC_ALL="C", COLUMNS="40")
    assert (shown.returncode, shown.stderr) == (0, b"")
    assert b"plan" in shown.stdout
    version = run("--version", where=tmp_path)
    assert version.stdout.decode().split()[-1] == __version__


def test_a_screen_without_the_signs_of_the_trade_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text('case_id = "−"', "utf-8")
    refused = run("check", "case.toml", where=tmp_path, PYTHONIOENCODING="ascii", PATH=os.defpath)
    assert refused.returncode == 2
    assert b"case.toml has" in refused.stderr
    assert b"Traceback" not in refused.stderr


def test_a_pipe_that_closes_early_ends_the_program_quietly(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "thumbwright", "--help"]
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout
        assert running.stderr
        running.stdout.close()
        told = running.stderr.read()
        running.wait(60)
    assert b"Traceback" not in told
