"""Clauses that say why one technique stands before another."""

from thumbwright.core.comparison.order import RankedRow


def why(first: RankedRow, second: RankedRow, name: str = "the latter") -> str:
    """Say why one technique comes before another, as a clause that begins with *because*.

    Parameters
    ----------
    first, second
        The techniques, in the order in which they stand.
    name
        What the second is called in the clause.
    """
    one, other = first.standing, second.standing
    if one.is_no_reconstruction != other.is_no_reconstruction:
        return "because a reconstruction is looked at before doing without one"
    if one.is_advised_against != other.is_advised_against:
        return f"because this speaks against {name}: {against(second)}"
    if one.is_substitute != other.is_substitute:
        return "because the own part, where it can be put back, comes before anything in its place"
    if one.leaves_length_missing != other.leaves_length_missing:
        return f"because length counts for the patient, and {name} gives little or none"
    if one.is_second_line != other.is_second_line:
        return f"because {name} is second line at this level"
    return _by_goals(first, second, name)


def against(row: RankedRow) -> str:
    """Return what speaks against a technique, without the last full stop."""
    grave = [warning.reason for warning in row.eligibility.warnings if warning.grave]
    return " ".join(grave).rstrip(".")


def capital(text: str) -> str:
    """Return a text with a capital at its beginning.

    Examples
    --------
    >>> capital("the second toe")
    'The second toe'
    """
    return text[:1].upper() + text[1:]


def _by_goals(first: RankedRow, second: RankedRow, name: str) -> str:
    one, other = first.standing, second.standing
    if one.lacking_share != other.lacking_share:
        return (
            f"because it gives more of what counts ({first.score_share:.0%} against "
            f"{second.score_share:.0%})"
        )
    if one.falls_short != other.falls_short:
        return f"because both give as much of what counts, and {name} adds less than is missing"
    if one.donor_cost != other.donor_cost:
        return "because both give as much of what counts and it spares the donor site more"
    if one.stages != other.stages:
        return "because all else is equal and it needs fewer stages"
    return "only by the order of the alphabet: nothing that was weighed tells them apart"
