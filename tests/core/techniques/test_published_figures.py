"""The numbers that the catalogue prints from a source are those that were read there."""

import csv
import re
from pathlib import Path

import pytest
from tests.core.techniques.worked_situations import TECHNIQUES

from thumbwright.core.foundations.sources import Provenance, Statement
from thumbwright.core.techniques.technique import Span, Technique

TABLE = Path(__file__).with_name("published_figures.csv")
FIGURE = re.compile(r"\d+(?:\.\d+)?")
FROM_PRINT = {Provenance.READ, Provenance.DERIVED}


def published() -> dict[str, tuple[set[str], set[str]]]:
    """Return per source the figures that were read and those that were derived from them."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {
            row["source"]: (set(row["published"].split()), set(row["derived"].split()))
            for row in csv.DictReader(file)
        }


def statements_with_figures(technique: Technique) -> list[tuple[Statement, set[str]]]:
    """Return each statement from print with the numbers in it, bounds of spans included."""
    found = [(one, set(FIGURE.findall(one.text))) for one in technique.statements()]
    spans = (
        technique.hours,
        technique.weeks,
        technique.added_length,
        technique.added_length_in_children,
    )
    found += [
        (span.statement, {f"{span.low:g}", f"{span.high:g}"})
        for span in spans
        if isinstance(span, Span)
    ]
    return [(one, figures) for one, figures in found if one.basis.provenance in FROM_PRINT]


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda one: one.key)
def test_every_number_from_print_is_one_that_was_read_or_derived(technique: Technique) -> None:
    known = published()
    for statement, figures in statements_with_figures(technique):
        read, derived = known.get(statement.basis.source, (set(), set()))
        assert figures <= read | derived, statement.text
        if statement.basis.provenance is Provenance.READ:
            assert figures <= read, statement.text


def test_no_figure_stands_in_the_table_that_nothing_prints() -> None:
    printed: dict[str, set[str]] = {"thumb-replants-73": {"63"}}  # printed by a rule
    for technique in TECHNIQUES:
        for statement, figures in statements_with_figures(technique):
            printed.setdefault(statement.basis.source, set()).update(figures)
    unused = {
        source: (read | derived) - printed.get(source, set())
        for source, (read, derived) in published().items()
    }
    assert {source: figures for source, figures in unused.items() if figures} == {}


def test_what_is_derived_follows_from_what_was_read() -> None:
    by_hand_hours = tuple(round((603 + sign * 222) / 60) for sign in (-1, 1))
    by_hand_weeks_of_ten_thumbs = (93 / 7, 165 / 7)
    by_hand_weeks_to_the_fixator_off = 85 / 7
    by_hand_key_pinch_percent = 6.0 / 9.1 * 100
    by_hand_third_of_the_adults = 70 / 3
    assert by_hand_hours == (6, 14)
    assert [round(weeks) for weeks in by_hand_weeks_of_ten_thumbs] == [13, 24]
    assert round(by_hand_weeks_to_the_fixator_off) == 12
    assert round(by_hand_key_pinch_percent) == 66
    assert round(by_hand_third_of_the_adults) == 23
