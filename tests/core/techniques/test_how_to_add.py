"""The page on adding a technique shows an entry that the catalogue takes and a case can use."""

import re
from pathlib import Path

from tests.core.techniques.worked_situations import BIBLIOGRAPHY, CATALOGUE_TEXT, situation

from thumbwright.core.comparison.ranking import rank
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.catalogue import read_catalogue
from thumbwright.core.techniques.catalogue_checks import _MICROSURGERY, _TOES
from thumbwright.core.techniques.eligibility import Verdict, eligible_all

PAGE = (Path(__file__).parents[3] / "docs" / "how-to-add-a-technique.md").read_text("utf-8")


def _entry() -> str:
    found = re.search(r"```toml\n(.*?)```", PAGE, flags=re.DOTALL)
    assert found
    return found.group(1)


def test_the_entry_of_the_page_can_be_put_into_the_catalogue() -> None:
    *known, added = read_catalogue(f"{CATALOGUE_TEXT}\n{_entry()}", BIBLIOGRAPHY)
    assert added.key == "dorsoulnar_flap"
    assert added.key not in {one.key for one in known}
    assert added.done_at == (Level.TERMINAL_PHALANX,)


def test_a_technique_that_was_added_is_judged_and_ranked_with_the_others() -> None:
    techniques = read_catalogue(f"{CATALOGUE_TEXT}\n{_entry()}", BIBLIOGRAPHY)
    for level, verdict in ((Level.TERMINAL_PHALANX, Verdict.OPEN), (Level(3), Verdict.CLOSED)):
        one = situation(level)
        judged = eligible_all(techniques, one)
        assert judged[-1].verdict is verdict
        ranked = {row.technique.key for row in rank(judged, one).rows}
        assert ("dorsoulnar_flap" in ranked) is (verdict is Verdict.OPEN)


def test_the_page_names_every_rule_that_the_reader_insists_on() -> None:
    demanded = {"level_suits", "patient_has_not_refused_it", "patient_bears_the_operation"}
    for rule in demanded | _MICROSURGERY | _TOES:
        assert f"`{rule}`" in PAGE
