"""Rules of eligibility about the vessels of the injured hand and forearm."""

from thumbwright.core.case.examined import Finding, Pulse, Quality
from thumbwright.core.case.hand import AllenTest, RecipientVessels, VesselImaging
from thumbwright.core.case.injury import Mechanism
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    advice_from,
    listed,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_FELT = {Pulse.STRONG, Pulse.WEAK}
_IMAGES = "angiography of the hand and forearm"
_POOR_VEINS = (
    "The veins under the skin are poor; a companion vein of the radial artery can take the outflow."
)
_BUNCKE = read_at("buncke-chapter-1", "page 6")


def recipient_vessels_are_patent(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for an artery of the hand that a toe can be joined to."""
    vessels = situation.case.recipient_vessels
    if vessels.allen_test is AllenTest.NEITHER:
        return NotMet(reason="Neither artery fills the hand.", basis=COMMON_PRACTICE)
    if vessels.allen_test is AllenTest.ULNAR_ONLY and vessels.imaging is not VesselImaging.NORMAL:
        return Unsettled(
            reason="The radial artery does not fill the hand; a pulse at the wrist may be blood "
            "flowing back, so whether a toe can be joined there must be seen on images.",
            basis=COMMON_PRACTICE,
            needed=(_IMAGES,),
        )
    radial = {vessels.radial_pulse, vessels.snuffbox_doppler}
    if radial & _FELT:
        return _warnings_of(vessels)
    if Pulse.NOT_EXAMINED in radial:
        return Unsettled(
            reason="The radial artery was not fully examined.",
            basis=COMMON_PRACTICE,
            needed=("the radial pulse", "a Doppler signal of the radial artery in the snuff box"),
        )
    if vessels.ulnar_pulse is Pulse.ABSENT:
        return NotMet(reason="Neither radial nor ulnar artery is felt.", basis=COMMON_PRACTICE)
    return Unsettled(
        reason="The radial artery is not felt; whether a vein graft to the ulnar artery would "
        "serve must be seen on images.",
        basis=COMMON_PRACTICE,
        needed=(_IMAGES,),
    )


def _warnings_of(vessels: RecipientVessels) -> RuleAnswer:
    found: list[tuple[str, bool]] = []
    if vessels.imaging is VesselImaging.ABNORMAL:
        found.append(("The images of the vessels are abnormal.", True))
    if vessels.allen_test is AllenTest.RADIAL_ONLY or vessels.ulnar_pulse is Pulse.ABSENT:
        found.append(
            ("Only the radial artery fills the hand; a toe must be joined to its side.", False)
        )
    if vessels.allen_test is AllenTest.NOT_EXAMINED:
        found.append(("Which artery fills the hand was not tested.", False))
    if {vessels.radial_pulse, vessels.snuffbox_doppler} & {Pulse.WEAK, Pulse.ABSENT}:
        found.append((f"The radial artery is {_weak_places(vessels)}.", False))
    if vessels.superficial_veins in {Quality.ABSENT, Quality.WEAK}:
        found.append((_POOR_VEINS, False))
    if vessels.superficial_veins is Quality.NOT_EXAMINED:
        found.append(("The veins under the skin were not examined.", False))
    return advice_from(found, _BUNCKE, otherwise="The radial artery and the veins are there.")


def _weak_places(vessels: RecipientVessels) -> str:
    places = {"at the wrist": vessels.radial_pulse, "in the snuff box": vessels.snuffbox_doppler}
    words = {Pulse.WEAK: "weak", Pulse.ABSENT: "not found"}
    return listed([f"{words[pulse]} {where}" for where, pulse in places.items() if pulse in words])


def ulnar_artery_can_feed_the_hand(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask whether the hand lives without its radial artery, which the flap takes."""
    match situation.case.recipient_vessels.allen_test:
        case AllenTest.BOTH_FILL:
            return Met(reason="Both arteries fill the hand.", basis=COMMON_PRACTICE)
        case AllenTest.ULNAR_ONLY:
            return NotMet(
                reason="The radial artery does not fill the hand, so the flap that turns on it "
                "cannot live.",
                basis=COMMON_PRACTICE,
            )
        case AllenTest.RADIAL_ONLY | AllenTest.NEITHER:
            return NotMet(
                reason="The ulnar artery does not fill the hand, so the radial artery cannot be "
                "given.",
                basis=COMMON_PRACTICE,
            )
        case AllenTest.NOT_EXAMINED:
            return Unsettled(
                reason="Which artery fills the hand was not tested.",
                basis=COMMON_PRACTICE,
                needed=("an Allen test",),
            )


def vessels_imaged_after_high_voltage(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for images of the vessels after a high-voltage injury."""
    injury = situation.case.injury
    if injury.mechanism is not Mechanism.ELECTRICAL or injury.high_voltage is Finding.NO:
        return Met(reason="No high-voltage injury.", basis=COMMON_PRACTICE)
    imaging = situation.case.recipient_vessels.imaging
    if imaging is VesselImaging.NORMAL:
        return Met(
            reason="The vessels were imaged after the current and are normal.",
            basis=COMMON_PRACTICE,
        )
    if imaging is VesselImaging.ABNORMAL:
        return Unsettled(
            reason="The vessels were imaged after the current and are damaged; whether a sound "
            "artery is left must be said by who read the images.",
            basis=COMMON_PRACTICE,
            needed=("which artery beyond the burn is sound",),
        )
    if injury.high_voltage is Finding.YES:
        return Unsettled(
            reason="High voltage damages vessels beyond the burn; they were not imaged.",
            basis=COMMON_PRACTICE,
            needed=(_IMAGES,),
        )
    return Unsettled(
        reason="Whether the current was of high voltage is not stated, and the vessels were not "
        "imaged.",
        basis=COMMON_PRACTICE,
        needed=("the voltage of the accident", _IMAGES),
    )


def vessels_imaged_in_a_congenital_hand(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise to image the vessels of a hand that was never whole."""
    basis = read_at("upton-1998")
    imaging = situation.case.recipient_vessels.imaging
    if situation.case.injury.mechanism is not Mechanism.CONGENITAL:
        return Met(reason="The hand was whole at birth.", basis=basis)
    if imaging is VesselImaging.NORMAL:
        return Met(reason="The vessels were imaged and are normal.", basis=basis)
    return Advice(
        reason="In a congenital difference the vessels vary; images are advised.", basis=basis
    )
