"""How long one case takes from the command line, and where the time goes, against a limit."""

import resource
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

LIMIT_S = 2.0
ROUNDS = 5


def whole_command(case: Path, films: Path, out: Path) -> float:
    """Return the best wall-clock time of the whole command, Python's start included [s]."""
    command = [sys.executable, "-P", "-m", "thumbwright", "plan", str(case)]
    command += ["--films", str(films), "--out", str(out), "--day", "2026-11-25"]
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Make one demo case, plan it several times, print a table."""
    start = time.perf_counter()
    from thumbwright import bootstrap  # noqa: PLC0415  its import is measured

    imported = time.perf_counter() - start
    from thumbwright.demo.making import make_case  # noqa: PLC0415
    from thumbwright.demo.people import PEOPLE  # noqa: PLC0415
    from thumbwright.documents.compose import compose  # noqa: PLC0415
    from thumbwright.documents.plan_report import write_json, write_pdf  # noqa: PLC0415
    from thumbwright.pathway.plan_case import plan_case  # noqa: PLC0415

    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch)
        films = make_case(PEOPLE[0], place, lambda _: None)
        case = place / "case.toml"
        marks = [time.perf_counter()]
        intake = bootstrap.take_in(case, films, lambda _: None)
        marks.append(time.perf_counter())
        known = bootstrap.knowledge()
        marks.append(time.perf_counter())
        plan = plan_case(intake.case, intake.films, intake.notes, known, date(2026, 11, 25))
        marks.append(time.perf_counter())
        paper, drawings = compose(plan, known, intake.inputs, bootstrap.versions())
        marks.append(time.perf_counter())
        write_pdf(paper, drawings)
        write_json(paper)
        marks.append(time.perf_counter())
        whole = whole_command(case, films, place / "out")
    names = ("read case and four films", "read techniques", "plan", "compose, draw", "print")
    print("| part | s |\n|---|---|")
    print(f"| import | {imported:.2f} |")
    for name, before, after in zip(names, marks[:-1], marks[1:], strict=True):
        print(f"| {name} | {after - before:.2f} |")
    print(f"| **whole command, best of {ROUNDS}** | **{whole:.2f}** |")
    print(f"| share of the limit of {LIMIT_S:g} s | {whole / LIMIT_S:.2f} |")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"| largest memory of the command [MiB] | {peak:.0f} |")
    if whole > LIMIT_S:
        sys.exit(f"{whole:.2f} s is over the limit of {LIMIT_S:g} s (on a quiet machine?)")


if __name__ == "__main__":
    main()
