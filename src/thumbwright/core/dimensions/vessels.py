"""How far the vessels of a toe must reach, how far they do, and how likely a vein graft is."""

from dataclasses import dataclass

from scipy.special import stdtr

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.feet import ToeArtery
from thumbwright.core.case.girths import VesselWays
from thumbwright.core.dimensions.sections import common, from_memory, read, typed
from thumbwright.core.dimensions.settings import Allowances, Pedicle
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference, ratio, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published, Statement

TAPE_TOLERANCE_MM = 5.0
"""Half width within which a way along curved skin is known [mm]; working assumption."""
CALIBRE_TOLERANCE_MM = 0.3
"""Half width within which a vessel's calibre is known [mm]; working assumption."""
_MEMORY = Basis(
    provenance=Provenance.RECALLED, source="toe-teaching", locator="memory, 30 to 50 mm"
)
PLANTAR_PEDICLE = Published(value=40.0, uncertainty=5.8, unit="mm", basis=_MEMORY)
"""Of a first plantar metatarsal artery; 30 to 50 mm taken as even."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """One vessel: the way it must go, the way it can go, and what follows."""

    vessel: str
    needed: Measured | Unknown
    """[mm]"""
    available: Measured | Unknown
    """[mm]"""
    graft_prob: float | Unknown
    """That the vessel is too short."""
    arithmetic: str
    bases: tuple[Basis, ...]


def artery_reach(
    stump: Measured | Unknown,
    beyond_cut: Measured | Unknown,
    pedicle: Pedicle,
    ways: VesselWays,
    allowances: Allowances,
) -> Reach:
    """Compare the way to the artery of the hand with the pedicle of the toe.

    Parameters
    ----------
    stump
        Bone that is left from the CMC joint. [mm]
    beyond_cut
        From the cut on the toe to the base of its metatarsal, by film; a dorsal artery runs
        along it. [mm]
    pedicle
        Along which artery the toe is taken.
    ways, allowances
        What was taped; without it the films and the allowances speak.

    Notes
    -----
    Needed = stump + CMC joint to the artery + slack. A typed way takes the place of the first
    two. Available, unless typed: dorsal, from the cut to the base of the metatarsal, where the
    artery dives between the bones; plantar, 30 to 50 mm from memory.
    """
    needed, sum_needed, films = _needed(stump, ways, allowances)
    available, sum_available, bases = _available(beyond_cut, pedicle, ways)
    return Reach(
        vessel="artery",
        needed=needed,
        available=available,
        graft_prob=too_short_prob(needed, available),
        arithmetic=f"needed {sum_needed}; available {sum_available}",
        bases=(*films, *bases),
    )


def vein_reach(ways: VesselWays, allowances: Allowances) -> Reach:
    """Compare the way to the vein of the hand with that of the toe; both must be taped."""
    slack = allowances.slack.measured("slack")
    way = _way(ways.stump_to_vein_mm, "way from the stump to the vein of the hand")
    needed = way if isinstance(way, Unknown) else total((way, slack), origin="way with slack")
    available = _way(ways.toe_vein_mm, "length of the vein of the foot")
    return Reach(
        vessel="vein",
        needed=needed,
        available=available,
        graft_prob=too_short_prob(needed, available),
        arithmetic="typed way + slack, against the typed length of the vein",
        bases=allowances.slack.bases,
    )


def too_short_prob(needed: Measured | Unknown, available: Measured | Unknown) -> float | Unknown:
    """Return the probability that a vessel does not reach [-].

    Notes
    -----
    Student's distribution of (available - needed) over its standard uncertainty, with its
    degrees of freedom. Without doubt it is 0 or 1.
    """
    if isinstance(needed, Unknown):
        return needed
    if isinstance(available, Unknown):
        return available
    over = difference(available, needed, origin="left over")
    if over.uncertainty == 0:
        return float(over.value < 0)
    return float(stdtr(min(over.degrees_of_freedom, 1e9), -over.value / over.uncertainty))


def _way(value: float | NotExamined, what: str) -> Measured | Unknown:
    return typed(value, tolerance_mm=TAPE_TOLERANCE_MM, what=what)


def _needed(
    stump: Measured | Unknown, ways: VesselWays, allowances: Allowances
) -> tuple[Measured | Unknown, str, tuple[Basis, ...]]:
    slack = allowances.slack.measured("slack")
    taped = _way(ways.stump_to_artery_mm, "way from the stump to the artery of the hand")
    if isinstance(taped, Measured):
        words = f"{taped.value:.0f} (taped) + {slack.value:.0f} (slack) mm"
        return total((taped, slack), origin="way with slack"), words, allowances.slack.bases
    if isinstance(stump, Unknown):
        return stump, "? mm", ()
    beyond = allowances.joint_to_artery.measured("joint to artery")
    words = (
        f"{stump.value:.0f} (stump) + {beyond.value:.0f} (CMC joint to artery) + "
        f"{slack.value:.0f} (slack) mm"
    )
    bases = (*allowances.joint_to_artery.bases, *allowances.slack.bases)
    return total((stump, beyond, slack), origin="way with slack"), words, bases


def _available(
    beyond_cut: Measured | Unknown, pedicle: Pedicle, ways: VesselWays
) -> tuple[Measured | Unknown, str, tuple[Basis, ...]]:
    taped = _way(ways.toe_artery_mm, "length of the artery of the toe")
    if isinstance(taped, Measured):
        return taped, f"{taped.value:.0f} (taped) mm", ()
    if pedicle is Pedicle.NOT_DECIDED:
        asks = ("whether the toe is taken on its dorsal or its plantar artery",)
        return Unknown(reason="the pedicle was not decided", needed=asks), "? mm", ()
    if pedicle is Pedicle.PLANTAR:
        words = f"{PLANTAR_PEDICLE.value:.0f} mm (from memory, unverified)"
        return _remembered(), words, (PLANTAR_PEDICLE.basis,)
    if isinstance(beyond_cut, Unknown):
        return beyond_cut, "? mm", ()
    assumed = Basis(provenance=Provenance.ASSUMED)
    words = f"{beyond_cut.value:.0f} (cut to base of the metatarsal) mm"
    return beyond_cut, words, (assumed,)


def _remembered() -> Measured:
    spread = Input(
        key="plantar pedicle",
        name="length of a plantar pedicle, between people",
        standard_uncertainty=PLANTAR_PEDICLE.uncertainty or 0.0,
        unit="mm",
        basis="from memory, unverified",
    )
    return Measured(
        value=PLANTAR_PEDICLE.value,
        unit="mm",
        origin="plantar pedicle, from memory",
        terms=(Term(input=spread, sensitivity=1.0),),
    )


def pedicle_of(chosen: Pedicle, dominant: ToeArtery) -> Pedicle:
    """Return the surgeon's pedicle, or else the dominant artery's where one was found."""
    found = {ToeArtery.DORSAL: Pedicle.DORSAL, ToeArtery.PLANTAR: Pedicle.PLANTAR}
    return chosen if chosen is not Pedicle.NOT_DECIDED else found.get(dominant, chosen)


def calibre_match(ways: VesselWays) -> Measured | Unknown:
    """Return the artery of the toe over that of the hand, outer widths [-]."""
    toe = typed(
        ways.toe_artery_calibre_mm,
        tolerance_mm=CALIBRE_TOLERANCE_MM,
        what="calibre of the toe's artery where it is divided",
    )
    hand = typed(
        ways.hand_artery_calibre_mm,
        tolerance_mm=CALIBRE_TOLERANCE_MM,
        what="calibre of the artery of the hand",
    )
    if isinstance(toe, Unknown):
        return toe
    if isinstance(hand, Unknown):
        return hand
    return ratio(toe, hand, origin="toe over hand")


def artery_statements(dominant: ToeArtery) -> tuple[Statement, ...]:
    """Say what the dominant artery means, and how often print found which."""
    meant = {
        ToeArtery.DORSAL: common(
            "A dominant dorsal artery gives a long pedicle from the back of the foot."
        ),
        ToeArtery.PLANTAR: common(
            "A dominant plantar artery means a deeper dissection and a shorter pedicle; be ready "
            "for a vein graft."
        ),
        ToeArtery.EQUAL: common("Of two equal arteries either can be the pedicle."),
        ToeArtery.ABSENT: common(
            "Without a first metatarsal artery the toe hangs on its plantar digital arteries."
        ),
        ToeArtery.NOT_EXAMINED: common(
            "Which artery is dominant was not examined; find it in the first web and follow it "
            "back."
        ),
    }
    return (meant[dominant], *_PUBLISHED)


_PUBLISHED = (
    common(
        "An artery nearer to the stump, such as a digital artery of the thumb, asks for a shorter "
        "pedicle; tape the way to it."
    ),
    read(
        "In 100 cadaver feet the first dorsal metatarsal artery was the main supply in 78, the "
        "plantar one in 22.",
        source="toe-arteries-100-feet",
    ),
    read(
        "In 57 toe harvests the dorsal artery was large in 27, equal to the plantar one in 17, "
        "small beside a dominant plantar one in 8, and absent in 5.",
        source="upton-1998",
    ),
    read(
        "By ultrasound the dorsal artery is 1.0 mm wide on average (standard deviation 0.5 mm, 374 "
        "feet).",
        source="fdma-sonography",
    ),
    from_memory(
        "Taken with the artery of the back of the foot up to the ankle, the pedicle is 80 to 120 "
        "mm long."
    ),
)
