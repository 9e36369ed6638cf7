"""How much riskier the technique that leads would have to be for another to take its place."""

import numpy as np

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.performance import Drawn
from thumbwright.core.comparison.weighing import View, Weighing
from thumbwright.core.comparison.weight_turning_points import fact_turn, leader_by_amount
from thumbwright.core.foundations.answer import Unknown

TOLERANCE_PROB = 0.005
"""How closely the turn is wanted. [-]"""


def loss_turn_in_words(found: Weighing, view: View) -> str:
    """Say at which risk of loss the technique that one voice puts first would lose its place.

    Parameters
    ----------
    found
        The weighing.
    view
        One voice of it.

    Returns
    -------
    str
        A sentence; empty where nothing leads or risk does not count.

    Notes
    -----
    At the expected values and the middle of the weights, with hard facts before the weights; up
    to the worst end of the scale of risk, beyond which more is told apart from less no longer.
    """
    leader, table = view.plan_a, found.table
    if isinstance(leader, Unknown) or CriterionKey.LOSS_RISK not in table.keys:
        return ""
    name = table.name_of(leader)
    given = table.performances[leader, CriterionKey.LOSS_RISK]
    farthest = table.criteria[table.keys.index(CriterionKey.LOSS_RISK)].scale_from
    if not isinstance(given, Drawn) or float(np.mean(given.draws)) >= farthest:
        return ""
    risk = float(np.mean(given.draws))
    turn = fact_turn(
        leader_by_amount(
            table, view.stated_shares, leader, CriterionKey.LOSS_RISK, view.found.tier
        ),
        now=risk,
        far=farthest,
        unit="of 1",
        fact=f"the risk of losing {name}",
        table=table,
        tolerance=TOLERANCE_PROB,
    )
    if turn is None:
        return (
            f"No risk of losing {name} up to {100 * farthest:.0f} % would put another first; "
            f"it is taken as {100 * risk:.0f} %."
        )
    return (
        f"If the risk of losing {name} were above {100 * turn.turn:.0f} %, "
        f"{table.name_of(turn.new_leader)} would come first; it is taken as {100 * risk:.0f} %."
    )
