"""How far a joint moves after it was brought in, as published for each kind of technique."""

from collections.abc import Mapping

from thumbwright.core.foundations.sources import Basis, Statement
from thumbwright.core.reach.skeleton import Hinge
from thumbwright.core.techniques.rule_answers import ASSUMED, read_at
from thumbwright.core.techniques.technique import Family, JointGift, Technique, ThumbJoint

_Range = tuple[float, float, float, str, Basis]
"""From, to, doubt of either end [deg], in words, on what."""


_IP_OF_A_CHILD: _Range = (
    0.0,
    72.0,
    15.0,
    "The IP joint of a second toe moved through 72° in four children; taken from straight.",
    read_at("jiang-2011"),
)
_RANGES: Mapping[tuple[str, ThumbJoint], _Range] = {
    ("second_toe", ThumbJoint.MCP): (
        -5.0,
        25.0,
        8.0,
        "MCP motion was 15 to 35° after 15 toe transfers; taken as 30° with a little extension.",
        read_at("kim-2012"),
    ),
    ("second_toe", ThumbJoint.IP): (
        25.0,
        63.0,
        10.0,
        "The joints of 65 toes moved actively through 38° and stopped 25° short of straight.",
        read_at("congenital-toes-65"),
    ),
    ("second_toe_with_mtp_joint", ThumbJoint.MCP): (
        -30.0,
        29.0,
        10.0,
        "MCP motion was 59° in six adults; half is taken as extension, as a toe's MTP joint goes.",
        read_at("williamson-fingerless"),
    ),
    ("second_toe_with_mtp_joint", ThumbJoint.IP): (
        25.0,
        63.0,
        10.0,
        "The joints of 65 toes moved actively through 38° and stopped 25° short of straight.",
        read_at("congenital-toes-65"),
    ),
    ("great_toe", ThumbJoint.IP): (
        0.0,
        29.0,
        10.0,
        "Active IP motion was 29° on average after great-toe transfer; taken from straight.",
        read_at("microsurgery-handbook-results", "text"),
    ),
    ("trimmed_great_toe", ThumbJoint.IP): (
        0.0,
        29.0,
        10.0,
        "Active IP motion was 29° on average after great-toe transfer; trimming costs some.",
        read_at("microsurgery-handbook-results", "text"),
    ),
    ("great_toe", ThumbJoint.MCP): (
        -10.0,
        20.0,
        10.0,
        "No range of a great toe as MCP joint was read; 30° are taken, as for second toes.",
        ASSUMED,
    ),
    ("trimmed_great_toe", ThumbJoint.MCP): (
        -10.0,
        20.0,
        10.0,
        "No range of a great toe as MCP joint was read; 30° are taken, as for second toes.",
        ASSUMED,
    ),
    ("replantation", ThumbJoint.MCP): (
        -5.0,
        34.0,
        10.0,
        "Replanted digits kept 58% of the motion of the other side; of a normal 67° that is 39°.",
        read_at("replant-or-amputation-2022"),
    ),
    ("replantation", ThumbJoint.IP): (
        -5.0,
        50.0,
        12.0,
        "Replanted digits kept 58% of the motion of the other side; of a normal 95° that is 55°.",
        read_at("replant-or-amputation-2022"),
    ),
    ("pollicization", ThumbJoint.MCP): (
        0.0,
        38.0,
        10.0,
        "MCP motion was 38° after 15 years, in 7 of 8 thumbs; taken from straight.",
        read_at("ishida-2006"),
    ),
    ("pollicization", ThumbJoint.IP): (
        0.0,
        23.0,
        10.0,
        "IP motion was 23° after 15 years, in 7 of 8 thumbs; taken from straight.",
        read_at("ishida-2006"),
    ),
}
_BY_GRADE: Mapping[int, tuple[float, float]] = {0: (15, 15), 1: (5, 25), 2: (0, 35), 3: (0, 50)}
"""Where no range was read: by the grade of the catalogue (working assumption) [deg]."""


def given_range(
    technique: Technique, gift: JointGift, joint: ThumbJoint, *, growing: bool
) -> Hinge:
    """Return the range of a joint that a technique brings in.

    Parameters
    ----------
    technique
        The technique.
    gift
        What the catalogue says of the joint at this level; its grade speaks where no range was
        read.
    joint
        MCP or IP.
    growing
        Whether the patient still grows; second toes of children moved farther.
    """
    found = _RANGES.get((technique.key, joint))
    if growing and joint is ThumbJoint.IP and technique.key.startswith("second_toe"):
        found = _IP_OF_A_CHILD
    if found is None:
        low, high = _BY_GRADE[gift.grade.value]
        kind = "finger" if technique.family is Family.FINGER else "joint"
        words = f"No range was read; a {kind} graded {gift.grade.words} is taken at {high - low}°."
        found = (float(low), float(high), 10.0, words, ASSUMED)
    low_deg, high_deg, doubt, text, basis = found
    return Hinge(
        low_deg=low_deg,
        high_deg=high_deg,
        low_doubt_deg=doubt,
        high_doubt_deg=doubt,
        statement=Statement(text=text, basis=basis),
    )
