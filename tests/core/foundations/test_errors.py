"""Every error is one family, and a document's faults are told together."""

import inspect

import pytest

from thumbwright.core.foundations import errors
from thumbwright.core.foundations.errors import (
    CaseFileError,
    Fault,
    FilmsFileError,
    PlanError,
)

ALL = [
    each
    for _, each in inspect.getmembers(errors, inspect.isclass)
    if issubclass(each, Exception) and each.__module__ == errors.__name__
]


@pytest.mark.parametrize("error", ALL, ids=lambda each: each.__name__)
def test_every_error_is_a_plan_error_and_says_so_in_its_name(error: type[Exception]) -> None:
    assert issubclass(error, PlanError)
    assert error.__name__.endswith("Error")


@pytest.mark.parametrize("error", ALL, ids=lambda each: each.__name__)
def test_every_error_stands_in_the_tree_at_the_top_of_the_module(error: type[Exception]) -> None:
    is_helper = error.__name__ == "DocumentError"  # the common part of the two files' errors
    assert is_helper or error.__name__ in (errors.__doc__ or "")


def test_a_fault_says_where_what_and_what_may_stand_there() -> None:
    fault = Fault(path="patient.birth_date", given="1990-13-01", allowed="a date")
    assert str(fault) == "patient.birth_date: given 1990-13-01; allowed: a date"
    advised = Fault(path="a", given="b", allowed="c", advice="correct it")
    assert str(advised) == "a: given b; allowed: c; correct it"


@pytest.mark.parametrize("error", [CaseFileError, FilmsFileError])
def test_a_document_tells_all_its_faults_in_its_order(
    error: type[CaseFileError | FilmsFileError],
) -> None:
    faults = tuple(Fault(path=f"p{at}", given="1", allowed="2") for at in range(2))
    raised = error("case.toml", faults)
    assert raised.faults == faults
    assert str(raised) == (
        "case.toml has 2 faults; nothing was taken from it:\n"
        "  - p0: given 1; allowed: 2\n"
        "  - p1: given 1; allowed: 2"
    )
    assert "has 1 fault;" in str(error("case.toml", faults[:1]))
