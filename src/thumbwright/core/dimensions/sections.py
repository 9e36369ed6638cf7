"""How dimensions are told: named numbers with their arithmetic, statements, open questions."""

from dataclasses import dataclass

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Basis, Provenance, Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """One size, with how it was made."""

    key: str
    name: str
    value: Measured | Unknown
    arithmetic: str = ""
    """The sum as it would be done on paper; empty where the number was measured as it is."""
    bases: tuple[Basis, ...] = ()
    """What it rests on beside this case's own measurements."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Dimensions that belong together."""

    title: str
    dimensions: tuple[Dimension, ...] = ()
    statements: tuple[Statement, ...] = ()
    questions: tuple[str, ...] = ()
    """What only the surgeon can decide, or must still be measured."""


def every_question(sections: tuple[Section, ...]) -> tuple[str, ...]:
    """Return what is asked of the surgeon and what must be measured, each once."""
    asked = [
        question
        for section in sections
        for question in (
            *section.questions,
            *(
                needed
                for dimension in section.dimensions
                if isinstance(dimension.value, Unknown)
                for needed in dimension.value.needed
            ),
        )
    ]
    return tuple(dict.fromkeys(asked))


def typed(value: float | NotExamined, *, tolerance_mm: float, what: str) -> Measured | Unknown:
    """Return a typed length with the doubt of the tape, or what must be measured.

    Parameters
    ----------
    value
        As it was typed. [mm]
    tolerance_mm
        Half width within which the true length lies; even in between. [mm]
    what
        What was measured, in words; with one key, so that it is one and the same error.
    """
    if isinstance(value, NotExamined):
        return Unknown(reason=f"the {what} was not measured", needed=(f"the {what}",))
    doubt = Input(
        key=f"tape {what}",
        name=f"tape, {what}",
        standard_uncertainty=tolerance_mm / 3**0.5,
        unit="mm",
        basis=f"half width of {tolerance_mm:g} mm, even in between; working assumption",
    )
    return Measured(
        value=value, unit="mm", origin=f"{what}, taped", terms=(Term(input=doubt, sensitivity=1.0),)
    )


def common(text: str) -> Statement:
    """Return a fact of the trade."""
    return Statement(text=text, basis=Basis(provenance=Provenance.COMMON_PRACTICE))


def from_memory(text: str) -> Statement:
    """Return what was recalled and not read; it is labelled wherever it shows."""
    basis = Basis(provenance=Provenance.RECALLED, source="toe-teaching", locator="memory")
    return Statement(text=text, basis=basis)


def read(text: str, *, source: str, locator: str = "abstract") -> Statement:
    """Return what was read at its source."""
    basis = Basis(provenance=Provenance.READ, source=source, locator=locator)
    return Statement(text=text, basis=basis)


def assumed(text: str) -> Statement:
    """Return a working assumption of this program."""
    return Statement(text=text, basis=Basis(provenance=Provenance.ASSUMED))


def words_of(measured: Measured | Unknown, digits: int = 1) -> str:
    """Return the bare value as it stands in a sum on paper."""
    if isinstance(measured, Unknown):
        return "?"
    return f"{measured.value:.{digits}f}"
