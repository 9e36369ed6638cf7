"""Whether the thumb was lost from the tip downwards, or may lack a joint in its middle."""

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding
from thumbwright.core.case.injury import Mechanism


def may_have_gaps(case: Case) -> bool:
    """Tell whether a joint may be missing while one nearer the tip is there.

    Notes
    -----
    A floating thumb of birth has its outer joints without a basal one; a tumour is cut out
    of the middle; an injury at several levels may burst one joint; an earlier operation may
    have taken a joint away. Common practice, no source.
    """
    injury = case.injury
    return (
        injury.mechanism in {Mechanism.CONGENITAL, Mechanism.TUMOUR}
        or injury.several_levels is Finding.YES
        or bool(injury.earlier_operations)
    )
