"""A normal hand does what normal hands do, and loses what they lose."""

import csv
from pathlib import Path

import numpy as np
import pytest
from tests.core.reach.hands import (
    ADULT,
    CMC_STIFF,
    DRAWS,
    IP_FUSED,
    MCP_FUSED,
    SPEC,
    adult_reach,
    adult_standing,
    middle,
    no_doubt,
    with_hinges,
)

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.reach.draws import drawn_hand, drawn_thumb
from thumbwright.core.reach.forward import finger_pose, thumb_pose
from thumbwright.core.reach.grasp import opening_mm
from thumbwright.core.reach.results import PinchKind, Posture, Probability, Reach
from thumbwright.core.reach.rotations import angle_of_cosine
from thumbwright.core.reach.skeleton import Digit
from thumbwright.core.reach.stages import stage_places
from thumbwright.core.reach.standing import pinch_places
from thumbwright.core.reach.touching import touch

TABLE = Path(__file__).parents[2] / "published" / "reach" / "checks.csv"


def published(name: str) -> tuple[float, float]:
    lines = (line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#"))
    row = next(row for row in csv.DictReader(lines) if row["name"] == name)
    return float(row["value"]), float(row["half_width"])


def counted(reach: Reach, number: int) -> float:
    stage = reach.opposition.stages[number].counted
    assert isinstance(stage, Probability)
    return stage.prob


def pinched(reach: Reach, kind: PinchKind, digit: Digit) -> float:
    pinch = reach.pinch(kind, digit)
    assert not isinstance(pinch, Unknown)
    return pinch.reached.prob


def test_the_hand_in_the_middle_reaches_every_stage() -> None:
    here = middle()
    missed = [
        number
        for number, places in stage_places(here.hand).items()
        if not touch(here.limb, places).reached.all()
    ]
    assert missed == []


def test_the_hand_in_the_middle_makes_every_pinch() -> None:
    here = middle()
    missed = [
        name
        for name, places in pinch_places(here.hand).items()
        if not touch(here.limb, places).reached.all()
    ]
    assert missed == []


def test_a_normal_thumb_reaches_stage_ten_and_opens_widest() -> None:
    reach = adult_reach()
    assert reach.opposition.highest == 10
    assert counted(reach, 10) > 0.9
    assert reach.workspace_share == 1.0
    assert (reach.draws, reach.seed) == (DRAWS, 7)


def test_about_half_of_the_draws_are_hands_that_a_normal_thumb_can_use() -> None:
    assert 0.4 < adult_standing().normal_prob < 0.8


@pytest.mark.parametrize("hinge", [{"mcp": MCP_FUSED}, {"ip": IP_FUSED}])
def test_one_fused_joint_costs_little_of_the_daily_pinches(hinge: dict[str, object]) -> None:
    _, allowed = published("change of dexterity with the MCP or the IP joint splinted")
    reach = adult_reach(with_hinges(ADULT, **hinge))  # type: ignore[arg-type]
    for kind, digit in ((PinchKind.TIP, Digit.INDEX), (PinchKind.KEY, Digit.INDEX)):
        assert pinched(reach, kind, digit) > 1 - allowed


def test_a_stiff_basal_joint_costs_the_later_stages() -> None:
    flexion, abduction = CMC_STIFF
    stiff = adult_reach(with_hinges(ADULT, flexion=flexion, abduction=abduction))
    assert counted(stiff, 10) < 0.1
    assert counted(stiff, 6) < 0.3
    assert stiff.workspace_share < 0.5
    for outer in ({"mcp": MCP_FUSED}, {"ip": IP_FUSED}):
        assert stiff.workspace_share < adult_reach(with_hinges(ADULT, **outer)).workspace_share


def test_a_longer_stump_never_loses_the_fingertips() -> None:
    points = adult_reach().curve.points
    by_length = {point.added_mm: point for point in points}
    assert by_length[-30.0].stage < by_length[-15.0].stage < by_length[0.0].stage
    assert by_length[-30.0].tip_prob[Digit.LITTLE] < by_length[0.0].tip_prob[Digit.LITTLE]


@pytest.mark.parametrize("pip_deg", [30.0, 40.0, 50.0])
def test_a_stiff_index_joint_narrows_the_opening_about_as_published(pip_deg: float) -> None:
    published_share, half_width = published(
        f"loss of opening with the index PIP joint at {pip_deg:.0f} degrees"
    )
    hand = drawn_hand(SPEC, no_doubt())
    chain = drawn_thumb(ADULT, hand, no_doubt())
    free, stiff = (float(opening_mm(chain, hand, at)[0]) for at in (0.0, pip_deg))
    assert 1 - stiff / free == pytest.approx(published_share, abs=half_width)


def test_an_adducted_thumb_ends_beside_the_index_between_mid_phalanx_and_joint() -> None:
    hand = drawn_hand(SPEC, no_doubt())
    flat = beside_the_index()
    index = finger_pose(hand.finger(Digit.INDEX), (0.0, 0.0, 0.0), 0.0)
    along = (flat[0] - index.mcp_mm[0, 0]) / (index.pip_mm[0, 0] - index.mcp_mm[0, 0])
    published_share, half_width = published(
        "share of the index proximal phalanx that the adducted thumb tip reaches by older teaching"
    )
    assert along == pytest.approx(published_share, abs=half_width)


def beside_the_index() -> np.ndarray:
    """Return the tip of the straight thumb where it lies nearest to the index's direction."""
    steps = [np.linspace(-30, 46, 39), np.linspace(-40, 3, 23), [0.0], [0.0], [11.5]]
    angles = np.stack(np.meshgrid(*steps)).reshape(5, -1).astype(np.float32)
    many = drawn_hand(SPEC, no_doubt(angles.shape[1]))
    pose = thumb_pose(drawn_thumb(ADULT, many, no_doubt(angles.shape[1])), many, angles)
    splay = np.radians(many.finger(Digit.INDEX).splay_deg)
    index = np.array([np.cos(splay), 0.0, np.sin(splay)], dtype=np.float32)
    nearest = int(angle_of_cosine(pose.metacarpal_runs @ index).argmin())
    return np.asarray(pose.tip_mm[nearest])


def test_the_thumb_turns_towards_the_palm_as_it_opposes() -> None:
    rotation = adult_reach().opposition.rotation_deg
    assert isinstance(rotation, float)
    assert 20 < rotation < 90


def test_a_pinch_tells_its_posture_within_the_ranges() -> None:
    pinch = adult_reach().pinch(PinchKind.TIP, Digit.INDEX)
    assert not isinstance(pinch, Unknown)
    assert isinstance(pinch.posture, Posture)
    _, _, mcp, ip, _ = pinch.posture.thumb_deg
    assert -8 <= mcp <= 60
    assert -15 <= ip <= 80
    assert pinch.reached.error_prob < 0.03
