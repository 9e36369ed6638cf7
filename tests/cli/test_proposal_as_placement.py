"""What is proposed can be put into the list of films as it is printed, and waits there."""

import tomllib

from thumbwright.cli.proposing import as_placement
from thumbwright.core.radiograph.detection import ProposedPoint, RayProposal
from thumbwright.core.radiograph.landmarks import Landmark, RayName


def test_a_proposal_is_printed_as_an_entry_that_is_not_confirmed() -> None:
    tip = ProposedPoint(
        landmark=Landmark.DISTAL_PHALANX_TIP, point=(60.84, 463.16), confidence_prob=0.9
    )
    found = RayProposal(ray=RayName.THUMB, points=(tip,), joints=(), axis=())
    (placement,) = tomllib.loads(as_placement(found))["films"]["placements"]
    assert placement["confirmed"] is False
    assert placement["points"] == {"distal_phalanx_tip": [60.8, 463.2]}
    assert placement["observer"]
