"""Joint angles found in closed form are those that a search by other means finds."""

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial import cKDTree
from tests.core.reach.hands import ADULT, SPEC, no_doubt

from thumbwright.core.reach.draws import drawn_hand, drawn_thumb
from thumbwright.core.reach.forward import axes_apart_mm, thumb_pose
from thumbwright.core.reach.inverse import Aim, Answer, Arm, angles_deg, bent, solve, steady
from thumbwright.core.reach.rotations import Floats, base_frame, seen_from

COUNT = 220
TURN_DEG = 11.5


def turn(axis: np.ndarray, angle_deg: float) -> np.ndarray:
    """Turn about any axis by the formula of Rodrigues, in double precision."""
    unit = axis / np.linalg.norm(axis)
    cross = np.array(
        [[0, -unit[2], unit[1]], [unit[2], 0, -unit[0]], [-unit[1], unit[0], 0]], dtype=float
    )
    angle = np.radians(angle_deg)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def independent_tip(angles: np.ndarray, links: tuple[float, float, float]) -> np.ndarray:
    """Place the end of a thumb by joint axes in space, one hinge at a time from the outermost.

    The thumb lies straight along x, its hinges at their places along it; each turns all that
    lies beyond. Written without the program: axes and points instead of frames.
    """
    flexion, abduction, mcp, ip = angles
    apart = 4.6 / 185.0 * SPEC.size.length_mm
    skew = np.radians(3.0)
    metacarpal, proximal, distal = links
    z = np.array([0.0, 0.0, 1.0])
    along = np.array([1.0, 0.0, 0.0])
    outer = turn(along, 3.0 - TURN_DEG) @ z
    abducting = -np.array([0.0, np.cos(skew), np.sin(skew)])
    at_abduction = apart * along
    at_mcp = at_abduction + metacarpal * along
    at_ip = at_mcp + proximal * along
    point = at_ip + distal * along
    for axis, origin, angle in (
        (outer, at_ip, ip),
        (outer, at_mcp, mcp),
        (abducting, at_abduction, abduction),
        (z, 0 * z, flexion),
    ):
        point = origin + turn(axis, angle) @ (point - origin)
    return point


def some_postures(rng: np.random.Generator) -> Floats:
    """Draw postures within the normal range, the MCP joint bent towards the palm."""
    low = np.array([-30.0, -40.0, 4.0, 20.0, TURN_DEG])
    high = np.array([46.0, 3.0, 58.0, 20.0, TURN_DEG])
    return np.asarray(rng.uniform(low, high, (COUNT, 5)).T, dtype=np.float32)


@pytest.fixture(scope="module")
def links() -> tuple[float, float, float]:
    return ADULT.metacarpal_mm, ADULT.proximal_mm, ADULT.distal_mm + ADULT.skin_beyond_bone_mm


@pytest.fixture(scope="module")
def postures() -> Floats:
    return some_postures(np.random.default_rng(11))


def solved(places: np.ndarray, ip_deg: float = 20.0) -> tuple[Arm, Answer]:
    count = places.shape[0]
    hand = drawn_hand(SPEC, no_doubt(count))
    chain = drawn_thumb(ADULT, hand, no_doubt(count))
    ip = np.full(count, ip_deg, dtype=np.float32)
    index = np.tile(np.array([[1.0, 0.0, 0.0]], dtype=np.float32), (count, 1))
    arm = Arm(
        steady=steady(chain, axes_apart_mm(hand.size_mm), index),
        bent=bent(chain, ip, with_pad=False)[:, None],
        held_deg=np.stack([ip, np.full_like(ip, TURN_DEG)])[:, None],
    )
    at = np.ascontiguousarray(places.T, dtype=np.float32)[:, None]
    return arm, solve(arm, Aim(at_mm=at))


def test_the_tip_is_where_axes_in_space_put_it(
    postures: Floats, links: tuple[float, float, float]
) -> None:
    hand = drawn_hand(SPEC, no_doubt(COUNT))
    pose = thumb_pose(drawn_thumb(ADULT, hand, no_doubt(COUNT)), hand, postures)
    found = seen_from(hand.base, pose.tip_mm - hand.cmc_mm)
    independent = np.array([independent_tip(column[:4], links) for column in postures.T])
    assert np.abs(found - independent).max() < 0.01


def test_a_search_from_many_starts_finds_the_same_posture(
    postures: Floats, links: tuple[float, float, float]
) -> None:
    places = np.array([independent_tip(column[:4], links) for column in postures.T])
    arm, answer = solved(places)
    found = angles_deg(arm, answer)[:, 0].T
    assert float(answer.gap_mm.max()) < 1.0
    for place, ours in zip(places, found, strict=True):
        independent = searched(place, links)
        assert independent is not None
        assert np.abs(ours[:3] - independent).max() < 1.0


def searched(place: np.ndarray, links: tuple[float, float, float]) -> np.ndarray | None:
    """Search flexion, abduction and MCP angle by least squares, keeping what is in range."""
    for start in (
        (10.0, -20.0, 30.0),
        (30.0, -5.0, 10.0),
        (-20.0, -35.0, 50.0),
        (0.0, -10.0, 20.0),
    ):
        fit = least_squares(
            lambda q: independent_tip(np.array([*q, 20.0]), links) - place, start, method="lm"
        )
        inside = -31 < fit.x[0] < 47 and -41 < fit.x[1] < 4 and 0 < fit.x[2] < 60
        if fit.cost < 1e-6 and inside:
            return np.asarray(fit.x)
    return None


def test_no_posture_of_a_fine_grid_comes_nearer() -> None:
    rng = np.random.default_rng(5)
    hand_mm = rng.uniform((20, -40, -60), (110, 90, 60), (COUNT, 3))
    grid = np.stack(
        np.meshgrid(
            np.arange(-30, 47, 2.0), np.arange(-40, 4, 2.0), np.arange(-7.9, 59.1, 2.0), [20.0]
        )
    ).reshape(4, -1)
    count = grid.shape[1]
    many = drawn_hand(SPEC, no_doubt(count))
    angles = np.concatenate([grid, np.full((1, count), TURN_DEG)]).astype(np.float32)
    pose = thumb_pose(drawn_thumb(ADULT, many, no_doubt(count)), many, angles)
    tips = seen_from(many.base, pose.tip_mm - many.cmc_mm)
    independent_mm, _ = cKDTree(tips).query(hand_mm)
    _, answer = solved(hand_mm)
    ours = answer.gap_mm[0]
    touching = independent_mm <= 4.0
    assert touching.sum() > 20
    assert float((ours[touching] <= 6.0).mean()) > 0.95
    assert float((ours - independent_mm).min()) > -3.0, "nearer than the steps of the grid allow"


@pytest.mark.parametrize(("mcp_deg", "ip_deg"), [(0.0, 0.0), (30.0, 20.0), (59.0, 80.0)])
def test_a_thumb_bends_in_a_plane_as_a_chain_of_three_links(mcp_deg: float, ip_deg: float) -> None:
    hand = drawn_hand(SPEC, no_doubt())
    angles = np.array([[0.0], [0.0], [mcp_deg], [ip_deg], [0.0]], dtype=np.float32)
    pose = thumb_pose(drawn_thumb(ADULT, hand, no_doubt()), hand, angles)
    bend, last = np.radians(mcp_deg), np.radians(mcp_deg + ip_deg)
    tip = ADULT.distal_mm + ADULT.skin_beyond_bone_mm
    by_hand_mm = np.hypot(
        ADULT.metacarpal_mm + ADULT.proximal_mm * np.cos(bend) + tip * np.cos(last),
        ADULT.proximal_mm * np.sin(bend) + tip * np.sin(last),
    )
    base = pose.cmc_mm + axes_apart_mm(hand.size_mm)[:, None] * hand.base[:, :, 0]
    found_mm = float(np.linalg.norm(pose.tip_mm - base))
    assert found_mm == pytest.approx(by_hand_mm, abs=0.001)


def test_the_frame_of_the_trapezium_lies_as_printed() -> None:
    published_flexion, published_abduction = 48.0, 38.0
    frame = base_frame(
        *(
            np.array([angle], dtype=np.float32)
            for angle in (published_flexion, published_abduction, 80)
        )
    )[0]
    along = frame[:, 0]
    assert np.degrees(np.arctan2(along[1], along[0])) == pytest.approx(published_flexion, abs=0.01)
    assert np.degrees(np.arcsin(along[2])) == pytest.approx(published_abduction, abs=0.01)
    assert np.linalg.det(frame) == pytest.approx(1.0, abs=1e-5)
