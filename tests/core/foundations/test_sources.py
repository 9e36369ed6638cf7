"""A number says where it comes from, and the bibliography can be read or is refused in words."""

from pathlib import Path

import pytest

from thumbwright.core import foundations
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, read_bibliography

BIBLIOGRAPHY = Path(foundations.__file__).with_name("bibliography.toml")


@pytest.mark.parametrize("claim", [Provenance.READ, Provenance.DERIVED])
def test_who_claims_to_have_read_names_what_was_read(claim: Provenance) -> None:
    with pytest.raises(KnowledgeError, match=r"without a source.*say common_practice"):
        Basis(provenance=claim)
    assert Basis(provenance=claim, source="some-2020").source == "some-2020"


@pytest.mark.parametrize(
    "modest", [Provenance.RECALLED, Provenance.COMMON_PRACTICE, Provenance.ASSUMED]
)
def test_memory_practice_and_assumption_need_no_source(modest: Provenance) -> None:
    assert Basis(provenance=modest).source == ""


def test_every_provenance_has_words_of_its_own() -> None:
    labels = [each.label for each in Provenance]
    assert len(set(labels)) == len(Provenance)
    assert Provenance.RECALLED.label == "from memory, unverified"


def test_the_bibliography_of_the_program_can_be_read() -> None:
    sources = read_bibliography(BIBLIOGRAPHY.read_text("utf-8"))
    assert sources["jcgm-100-2008"].identifier == "JCGM 100:2008"
    assert sources["jcgm-100-2008"].provenance is Provenance.RECALLED
    assert sources["buryanov-kotiuk-2010"].provenance is Provenance.RECALLED
    assert all(key == source.key for key, source in sources.items())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[a\n", "could not be read"),
        ('[a]\ntitle = "no citation"', "'citation'"),
        ('[a]\ncitation = "x"\nprovenance = "heard"', "heard"),
        ('a = "a citation without a table"', "could not be read"),
        ("a = 3", "could not be read"),
        ('a = ["x"]', "could not be read"),
    ],
)
def test_a_bibliography_at_fault_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(KnowledgeError, match=words) as refused:
        read_bibliography(text)
    assert "allowed is one table per key" in str(refused.value)
