"""A pattern thumb with round numbers, for tests that reckon with it by hand."""

from math import inf

from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.radiograph.transposition import JointHeight

CMC_MM, MCP_MM, IP_MM = 100.0, 54.0, 22.0
"""From the bony tip. The middles of phalanx and metacarpal lie at 38 and 77."""


def mm(
    value: float, doubt: float = 0.0, *, key: str = "", freedom: float = inf, shared: float = 0.0
) -> Measured:
    """Return a length with a doubt of its own, and one that it shares with all others of a key.

    Parameters
    ----------
    value, doubt
        Length and standard uncertainty. [mm]
    key
        Name of the own doubt.
    freedom
        Degrees of freedom of the own doubt. [-]
    shared
        Relative doubt of a scale that the pattern's lengths share. [-]
    """
    own = Input(
        key=key or f"own {value}",
        name="own",
        standard_uncertainty=doubt,
        unit="mm",
        degrees_of_freedom=freedom,
    )
    scale = Input(key="scale", name="scale", standard_uncertainty=shared, unit="-")
    terms = (Term(input=own, sensitivity=1.0), Term(input=scale, sensitivity=value))
    return Measured(value=value, unit="mm", origin="made for the test", terms=terms)


def pattern(doubt: float = 0.0, *, shared: float = 0.0) -> tuple[JointHeight, ...]:
    """Return the three joints of the pattern thumb."""
    heights = (("CMC joint", CMC_MM), ("MCP joint", MCP_MM), ("IP joint", IP_MM))
    return tuple(
        JointHeight(name=name, from_tip=mm(height, doubt, key=name, shared=shared))
        for name, height in heights
    )
