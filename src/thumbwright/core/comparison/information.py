"""Which examination would most change the choice: the value of knowing before choosing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.clauses import capital
from thumbwright.core.comparison.performance import NotKnown
from thumbwright.core.comparison.performance_table import Cell, PerformanceTable
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Published
from thumbwright.core.techniques.rule_answers import ASSUMED, listed

OPENS_PROB = Published(value=0.5, unit="-", basis=ASSUMED)
"""How likely a technique that waits for a finding opens, where nothing is known of it. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something that one examination would settle, and where it enters the table."""

    examination: str
    """As it is ordered: "motion of the MCP joint"."""
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InformationValue:
    """What it is worth to know the answer to one question before choosing."""

    examination: str
    gain_share: float
    """Expected gain of the best choice, on the scale of the score. [-]"""
    gain_error_share: float
    """Standard error, from drawing alone; 0 where nothing was drawn. [-]"""
    changes_prob: float
    """How likely the answer puts another technique first. [-]"""
    new_leaders: tuple[str, ...]
    """Techniques that an answer could put first, the likeliest first."""
    words: str


def questions_of(table: PerformanceTable) -> tuple[Question, ...]:
    """Return what is unknown in a table and would be settled by a finding, one row for each."""
    cells: dict[str, list[Cell]] = {}
    for cell, given in table.performances.items():
        if isinstance(given, NotKnown) and given.unknown.needed:
            cells.setdefault("; ".join(given.unknown.needed), []).append(cell)
    return tuple(Question(examination=name, cells=tuple(found)) for name, found in cells.items())


def value_of_information(
    table: PerformanceTable,
    shares: NDArray[np.float64],
    questions: Iterable[Question],
    tier: Sequence[int] | None = None,
) -> tuple[InformationValue, ...]:
    r"""Return what each question is worth, the most valuable first.

    Parameters
    ----------
    table
        What each technique gives, of those that could be chosen now.
    shares
        The weights by criterion. [-]
    questions
        What could be examined.
    tier
        By technique; only those of the lowest tier can lead.

    Notes
    -----
    Expected value of partial perfect information,

    .. math:: E_\phi [\max_i E(s_i | \phi)] - \max_i E(s_i)

    The score is a sum over criteria, and cells that do not hang together are drawn one by one,
    so that the inner expectation is exact: the asked cells keep their draws, all others their
    means. No inner loop and no regression is needed. Cells that hang together must stand in one
    question.
    """
    chosen = _choosable(table, tier)
    means = table.mean_share
    base = means @ shares
    found = []
    for question in questions:
        known = np.tile(base, (table.draws, 1))
        for technique, key in question.cells:
            row, column = table.techniques.index(technique), table.keys.index(key)
            drawn = table.value_share[:, row, column] - means[row, column]
            known[:, row] += shares[column] * drawn
        found.append(_valued(table, question.examination, known[:, chosen], base[chosen], chosen))
    return tuple(sorted(found, key=lambda one: (-one.gain_share, one.examination)))


def value_of_everything(
    table: PerformanceTable, shares: NDArray[np.float64], tier: Sequence[int] | None = None
) -> InformationValue:
    """Return what it would be worth to know everything: no examination is worth more."""
    chosen = _choosable(table, tier)
    scores = (table.value_share @ shares)[:, chosen]
    return _valued(table, "everything that is in doubt", scores, scores.mean(axis=0), chosen)


def value_by_sorting(
    scores: NDArray[np.float64], parameter: NDArray[np.float64], *, groups: int
) -> float:
    """Return what it is worth to know one number that enters the scores in any way.

    Parameters
    ----------
    scores
        By draw and technique. [-]
    parameter
        The number in each draw. [any unit]
    groups
        Into how many groups of like draws they are sorted; more follow the number closer, and
        fewer suffer less from chance. [-]

    Returns
    -------
    float
        Expected value of partial perfect information on the number; chance pushes it up where
        groups are small. [-]
    """
    if not 2 <= groups <= len(parameter):
        raise PlanError(
            f"{len(parameter)} draws were to be sorted into {groups} groups; allowed are 2 groups "
            "or more, none of them empty; take the square root of the number of draws"
        )
    parts = np.array_split(scores[np.argsort(parameter, kind="stable")], groups)
    best = sum(len(part) * part.mean(axis=0).max() for part in parts) / len(scores)
    return float(best - scores.mean(axis=0).max())


def value_of_opening(
    table: PerformanceTable,
    shares: NDArray[np.float64],
    tiers: Mapping[str, int],
    waiting: Mapping[str, Sequence[str]],
    *,
    opens_prob: float = OPENS_PROB.value,
) -> tuple[InformationValue, ...]:
    """Return what the findings are worth for which techniques wait, the most valuable first.

    Parameters
    ----------
    table
        What each technique gives, those that wait among them.
    shares
        The weights by criterion. [-]
    tiers
        By technique: what has less comes before what has more, whatever the weights.
    waiting
        The findings for which each of them waits, by technique.
    opens_prob
        How likely each opens. [-]

    Notes
    -----
    A technique of a lower tier would come first whatever its score; what it gains in score may
    then be nothing, and the findings are named all the same.
    """
    score = dict(zip(table.techniques, (table.mean_share @ shares).tolist(), strict=True))
    opened = [key for key in table.techniques if key not in waiting]
    leader = min(opened, key=lambda key: (tiers[key], -score[key])) if opened else None
    found = []
    for key, findings in waiting.items():
        leads = leader is None or (tiers[key], -score[key]) < (tiers[leader], -score[leader])
        gain = max(0.0, score[key] - (score[leader] if leader else 0.0)) if leads else 0.0
        examination = "; ".join(findings)
        name = table.name_of(key)
        words = f"{examination}: if it lets {name} open, {name} would come first."
        found.append(
            InformationValue(
                examination=examination,
                gain_share=opens_prob * gain,
                gain_error_share=0.0,
                changes_prob=opens_prob if leads else 0.0,
                new_leaders=(key,) if leads else (),
                words=capital(words if leads else f"{examination}: it would not change the first."),
            )
        )
    return tuple(sorted(found, key=lambda one: (-one.changes_prob, -one.gain_share)))


def _choosable(table: PerformanceTable, tier: Sequence[int] | None) -> list[int]:
    tiers = [0] * len(table.techniques) if tier is None else list(tier)
    return [place for place, one in enumerate(tiers) if one == min(tiers)]


def _valued(
    table: PerformanceTable,
    examination: str,
    known: NDArray[np.float64],
    base: NDArray[np.float64],
    chosen: Sequence[int],
) -> InformationValue:
    leader = int(np.argmax(base))
    gains = known.max(axis=1) - known[:, leader]
    best = np.argmax(known, axis=1)
    moved = gains > 0
    often = np.bincount(best[moved], minlength=len(chosen))
    order = [place for place in np.argsort(-often, kind="stable").tolist() if often[place]]
    names = [table.names[chosen[place]] for place in order]
    changes = float(moved.mean())
    return InformationValue(
        examination=examination,
        gain_share=float(gains.mean()),
        gain_error_share=float(gains.std() / np.sqrt(len(gains))),
        changes_prob=changes,
        new_leaders=tuple(table.techniques[chosen[place]] for place in order),
        words=_words(examination, table.names[chosen[leader]], names, changes),
    )


def _words(examination: str, leader: str, names: Sequence[str], changes: float) -> str:
    if not names:
        return f"{capital(examination)}: whatever it shows, {leader} stays first."
    count = max(1, round(100 * changes))
    return (
        f"{capital(examination)}: in {count} of 100 cases the answer would put another technique "
        f"before {leader}: {listed(list(names))}."
    )
