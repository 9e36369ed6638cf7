"""Arms for tests: invented ones, the packaged ones, and tables of published values."""

import csv
from functools import cache
from pathlib import Path

from thumbwright.bootstrap import knowledge
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.risk_factor import RiskFactor
from thumbwright.core.evidence.study import Averaged, Cause, Counted, Population, StudyArm
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.techniques.technique import Technique

PUBLISHED = Path(__file__).parents[2] / "published" / "evidence"
TOE = "second_toe"


def table(name: str) -> list[dict[str, str]]:
    """Return the rows of a table of published values."""
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def counted(*pairs: tuple[int, int]) -> list[Counted]:
    """Return counts from pairs of events and total."""
    return [Counted(events=events, total=total) for events, total in pairs]


def arm(  # noqa: PLR0913  a row of the table has many columns
    key: str,
    result: Counted | Averaged,
    *,
    pure: bool = True,
    outcome: Outcome = Outcome.LOSS,
    group: str = "",
    source: str = "",
    recalled: bool = False,
    review: bool = False,
    population: Population = Population.MIXED,
) -> StudyArm:
    """Return an invented arm that speaks of the second toe."""
    return StudyArm(
        key=key,
        techniques=(TOE,) if pure else (),
        widely=() if pure else (TOE,),
        outcome=outcome,
        result=result,
        population=population,
        cause=Cause.TRAUMA,
        years="",
        is_review=review,
        overlap_group=group,
        basis=Basis(
            provenance=Provenance.RECALLED if recalled else Provenance.READ,
            source=source or key,
            locator="abstract",
        ),
    )


def arms_of(*pairs: tuple[int, int], pure: bool = True, prefix: str = "s") -> list[StudyArm]:
    """Return one invented arm for each pair of events and total."""
    return [arm(f"{prefix}{at}", one, pure=pure) for at, one in enumerate(counted(*pairs))]


@cache
def studies() -> tuple[StudyArm, ...]:
    """Return the packaged arms."""
    return knowledge().studies


@cache
def factors() -> tuple[RiskFactor, ...]:
    """Return the packaged risk factors."""
    return knowledge().risk_factors


@cache
def techniques() -> dict[str, Technique]:
    """Return the catalogue by key."""
    return {one.key: one for one in knowledge().techniques}
