"""Statements about the injured hand and the feet that cannot both hold.

Limits of angles and spans are working assumptions of this program, set so wide that they
refuse slips of the pen and no living hand.
"""

from collections.abc import Iterator

from thumbwright.core.case.case import Case
from thumbwright.core.case.clash import clash
from thumbwright.core.case.examined import Finding, NotExamined, Pulse, Quality
from thumbwright.core.case.feet import ToeArtery
from thumbwright.core.case.hand import AllenTest, Joint, Nail, Tendon, VesselImaging, WebContracture
from thumbwright.core.case.joint_row import may_have_gaps
from thumbwright.core.foundations.errors import Fault

_STIFF_AT_MOST_DEG = 15
_RANGE_LIMITS_DEG = (-80, 130)
_WEB_LIMITS_DEG = (0, 130)
_WIDEST_WEB_MM = 220
_WIDEST_TIGHT_WEB_DEG = 70
_NARROWEST_FREE_WEB_DEG = 15
_LEAST_PULP_LOST_SHARE = 0.25
_COARSEST_GOOD_FEELING_MM = 20
_FARTHEST_WITHOUT_FLEXOR_DEG = 25


def _joints(case: Case) -> tuple[tuple[str, Joint], ...]:
    kept = case.kept
    return (("kept.cmc", kept.cmc), ("kept.mcp", kept.mcp), ("kept.ip", kept.ip))


def a_joint_stands_on_the_one_before(case: Case) -> Iterator[Fault]:
    """Refuse a joint beyond one that is gone, where the loss went from the tip downwards."""
    if may_have_gaps(case):
        return
    joints = _joints(case)
    for (inner_path, inner), (outer_path, outer) in (joints[:2], joints[1:], joints[::2]):
        if outer.present is Finding.YES and inner.present is Finding.NO:
            yield clash(
                case,
                f"{outer_path}.present",
                f"{inner_path}.present",
                allowed="a joint only where every joint nearer the wrist is there",
                advice="correct one of them; a fused joint is present and not mobile; a gap in "
                "the row needs several_levels or earlier_operations",
            )


def an_absent_joint_does_nothing(case: Case) -> Iterator[Fault]:
    """Refuse motion or stability of a joint that is gone."""
    for path, joint in _joints(case):
        if joint.present is not Finding.NO:
            continue
        stated = {
            "mobile": joint.mobile is Finding.YES,
            "stable": joint.stable is Finding.YES,
            "range_from_deg": not isinstance(joint.range_from_deg, NotExamined),
            "range_to_deg": not isinstance(joint.range_to_deg, NotExamined),
        }
        for name in (name for name, is_stated in stated.items() if is_stated):
            yield clash(
                case,
                f"{path}.present",
                f"{path}.{name}",
                allowed="motion, stability and range only for a joint that is present",
                advice="remove it, or correct present",
            )


def _range_deg(joint: Joint) -> float | None:
    if isinstance(joint.range_from_deg, NotExamined) or isinstance(joint.range_to_deg, NotExamined):
        return None
    return joint.range_to_deg - joint.range_from_deg


def a_range_runs_upwards(case: Case) -> Iterator[Fault]:
    """Refuse a range that ends before it begins."""
    for path, joint in _joints(case):
        range_deg = _range_deg(joint)
        if range_deg is not None and range_deg < 0:
            yield clash(
                case,
                f"{path}.range_from_deg",
                f"{path}.range_to_deg",
                allowed="from at most as large as to; extension beyond straight is negative",
                advice="exchange the two, or check the sign",
            )


def a_range_fits_its_mobility(case: Case) -> Iterator[Fault]:
    """Refuse a wide range in a joint that is not mobile, and none in one that is."""
    for path, joint in _joints(case):
        range_deg = _range_deg(joint)
        if range_deg is None:
            continue
        is_stiff = joint.mobile is Finding.NO and range_deg > _STIFF_AT_MOST_DEG
        if is_stiff or (joint.mobile is Finding.YES and range_deg == 0):
            yield clash(
                case,
                f"{path}.mobile",
                f"{path}.range_from_deg",
                f"{path}.range_to_deg",
                allowed=f"mobile with a range above 0, or not mobile with at most "
                f"{_STIFF_AT_MOST_DEG} degrees",
                advice="correct one of them",
            )


def a_range_is_of_a_thumb(case: Case) -> Iterator[Fault]:
    """Refuse angles that no joint of a thumb reaches."""
    low, high = _RANGE_LIMITS_DEG
    for path, joint in _joints(case):
        ends = {"range_from_deg": joint.range_from_deg, "range_to_deg": joint.range_to_deg}
        for name, angle in ends.items():
            if not isinstance(angle, NotExamined) and not low <= angle <= high:
                yield clash(
                    case,
                    f"{path}.{name}",
                    allowed=f"in a thumb {low} to {high} degrees",
                    advice="check the angle; straight is 0",
                )


def a_nail_stands_beyond_every_joint(case: Case) -> Iterator[Fault]:
    """Refuse a nail on a thumb that has lost a joint."""
    if case.kept.nail not in {Nail.KEPT, Nail.PARTLY_KEPT} or may_have_gaps(case):
        return
    for path, joint in _joints(case):
        if joint.present is Finding.NO:
            yield clash(
                case,
                "kept.nail",
                f"{path}.present",
                allowed="a nail only where all three joints are there",
                advice="correct one of them; a fused joint is present and not mobile",
            )


def the_pulp_goes_with_the_ip_joint(case: Case) -> Iterator[Fault]:
    """Refuse a whole pulp on a thumb that has lost its IP joint."""
    share = case.kept.pulp_lost_share
    if isinstance(share, NotExamined) or may_have_gaps(case):
        return
    if case.kept.ip.present is Finding.NO and share < _LEAST_PULP_LOST_SHARE:
        yield clash(
            case,
            "kept.pulp_lost_share",
            "kept.ip.present",
            allowed=f"a lost share of at least {_LEAST_PULP_LOST_SHARE} where the IP joint is gone",
            advice="correct one of them; 1 means that all of the pulp is lost",
        )


def a_pulp_defect_is_a_loss_of_pulp(case: Case) -> Iterator[Fault]:
    """Refuse an open defect in a pulp of which nothing is lost."""
    defect_mm = case.kept.pulp_defect_mm
    if isinstance(defect_mm, NotExamined) or defect_mm == 0:
        return
    if case.kept.pulp_lost_share == 0:
        yield clash(
            case,
            "kept.pulp_defect_mm",
            "kept.pulp_lost_share",
            allowed="a defect of 0, or a lost share above 0",
            advice="correct one of them",
        )


def two_points_need_feeling(case: Case) -> Iterator[Fault]:
    """Refuse two-point discrimination without feeling, and a coarse one called good."""
    points_mm, feeling = case.kept.two_point_mm, case.kept.stump_feeling
    if isinstance(points_mm, NotExamined):
        return
    is_coarse = feeling is Quality.GOOD and points_mm > _COARSEST_GOOD_FEELING_MM
    if feeling is Quality.ABSENT or is_coarse:
        yield clash(
            case,
            "kept.two_point_mm",
            "kept.stump_feeling",
            allowed="a distance only where there is feeling; good feeling up to "
            f"{_COARSEST_GOOD_FEELING_MM} mm",
            advice="correct one of them",
        )


def the_ip_joint_bends_by_the_long_flexor(case: Case) -> Iterator[Fault]:
    """Refuse active bending of the IP joint without its only flexor, unless one was given."""
    ip, has_flexor = case.kept.ip, case.kept.tendons.long_flexor is not Tendon.LOST
    if has_flexor or case.injury.earlier_operations:
        return
    range_deg = _range_deg(ip)
    if range_deg is not None and range_deg > _FARTHEST_WITHOUT_FLEXOR_DEG:
        yield clash(
            case,
            "kept.ip.range_from_deg",
            "kept.ip.range_to_deg",
            "kept.tendons.long_flexor",
            allowed="without a long flexor an active range of at most "
            f"{_FARTHEST_WITHOUT_FLEXOR_DEG} degrees",
            advice="state the active range, not the passive; or name the tendon transfer",
        )


def a_web_span_is_of_a_hand(case: Case) -> Iterator[Fault]:
    """Refuse a span of the first web that no hand has."""
    low, high = _WEB_LIMITS_DEG
    angle, length_mm = case.kept.first_web_span_deg, case.kept.first_web_span_mm
    if not isinstance(angle, NotExamined) and not low <= angle <= high:
        yield clash(
            case,
            "kept.first_web_span_deg",
            allowed=f"{low} to {high} degrees",
            advice="check the angle between the first and second metacarpal",
        )
    if not isinstance(length_mm, NotExamined) and length_mm > _WIDEST_WEB_MM:
        yield clash(
            case,
            "kept.first_web_span_mm",
            allowed=f"at most {_WIDEST_WEB_MM} mm",
            advice="check the unit",
        )


def a_contracture_narrows_the_web(case: Case) -> Iterator[Fault]:
    """Refuse a wide web called tight, and a closed one called free."""
    angle, contracture = case.kept.first_web_span_deg, case.kept.first_web_contracture
    if isinstance(angle, NotExamined):
        return
    is_wide = contracture is WebContracture.SEVERE and angle > _WIDEST_TIGHT_WEB_DEG
    if is_wide or (contracture is WebContracture.NONE and angle < _NARROWEST_FREE_WEB_DEG):
        yield clash(
            case,
            "kept.first_web_span_deg",
            "kept.first_web_contracture",
            allowed=f"severe up to {_WIDEST_TIGHT_WEB_DEG} degrees, none from "
            f"{_NARROWEST_FREE_WEB_DEG} degrees",
            advice="correct one of them",
        )


def a_filling_artery_has_a_pulse(case: Case) -> Iterator[Fault]:
    """Refuse filling through an artery that has neither pulse nor Doppler signal."""
    vessels = case.recipient_vessels
    pulses = {"radial_pulse": vessels.radial_pulse, "ulnar_pulse": vessels.ulnar_pulse}
    filling = {
        AllenTest.BOTH_FILL: ("radial_pulse", "ulnar_pulse"),
        AllenTest.RADIAL_ONLY: ("radial_pulse",),
        AllenTest.ULNAR_ONLY: ("ulnar_pulse",),
    }
    for name in filling.get(vessels.allen_test, ()):
        if pulses[name] is Pulse.ABSENT:
            yield clash(
                case,
                "recipient_vessels.allen_test",
                f"recipient_vessels.{name}",
                allowed="filling only through an artery with a pulse",
                advice="examine again, or write not_examined",
            )


def a_normal_angiogram_shows_both_arteries(case: Case) -> Iterator[Fault]:
    """Refuse normal imaging beside an artery that has neither pulse nor Doppler signal."""
    vessels = case.recipient_vessels
    if vessels.imaging is not VesselImaging.NORMAL:
        return
    pulses = {"radial_pulse": vessels.radial_pulse, "ulnar_pulse": vessels.ulnar_pulse}
    for name in (name for name, pulse in pulses.items() if pulse is Pulse.ABSENT):
        yield clash(
            case,
            "recipient_vessels.imaging",
            f"recipient_vessels.{name}",
            allowed="normal imaging only with both pulses",
            advice="examine again; if the pulse was lost since, imaging is not_done",
        )


def a_toe_artery_sounds_in_the_web(case: Case) -> Iterator[Fault]:
    """Refuse an artery without sound in the first web of the foot, and sound without one."""
    for path, foot in (("feet.left", case.feet.left), ("feet.right", case.feet.right)):
        artery, sound = foot.dominant_artery, foot.first_web_doppler
        is_silent = sound is Pulse.ABSENT and artery not in {
            ToeArtery.ABSENT,
            ToeArtery.NOT_EXAMINED,
        }
        if is_silent or (sound is Pulse.STRONG and artery is ToeArtery.ABSENT):
            yield clash(
                case,
                f"{path}.first_web_doppler",
                f"{path}.dominant_artery",
                allowed="a signal where an artery feeds the web, and none where none does",
                advice="examine again, or write not_examined",
            )


RULES = (
    a_joint_stands_on_the_one_before,
    an_absent_joint_does_nothing,
    a_range_runs_upwards,
    a_range_fits_its_mobility,
    a_range_is_of_a_thumb,
    a_nail_stands_beyond_every_joint,
    the_pulp_goes_with_the_ip_joint,
    a_pulp_defect_is_a_loss_of_pulp,
    two_points_need_feeling,
    the_ip_joint_bends_by_the_long_flexor,
    a_web_span_is_of_a_hand,
    a_contracture_narrows_the_web,
    a_filling_artery_has_a_pulse,
    a_normal_angiogram_shows_both_arteries,
    a_toe_artery_sounds_in_the_web,
)
