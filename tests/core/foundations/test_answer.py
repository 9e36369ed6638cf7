"""What cannot be said is said, with what would settle it."""

from thumbwright.core.foundations.answer import Unknown


def test_an_unknown_says_why_and_what_is_needed() -> None:
    unknown = Unknown(reason="the foot was not filmed", needed=("a film of the foot", "its ball"))
    assert str(unknown) == (
        "unknown, because the foot was not filmed; needed: a film of the foot, its ball"
    )


def test_an_unknown_that_nothing_would_settle_asks_for_nothing() -> None:
    assert str(Unknown(reason="no bone is missing")) == "unknown, because no bone is missing"
