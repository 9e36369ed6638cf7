"""What studies count or measure after the reconstruction of a thumb."""

from enum import Enum


class Outcome(Enum):
    """One thing that a study arm reports; the closed list of the table of studies."""

    LOSS = "loss"
    PARTIAL_LOSS = "partial_loss"
    CIRCULATION_TROUBLE = "circulation_trouble"
    REEXPLORATION = "reexploration"
    REVISED_IN_THEATRE = "revised_in_theatre"
    RESCUED = "rescued"
    ARTERIAL_CAUSE = "arterial_cause"
    TRUNK_THROMBOSIS = "trunk_thrombosis"
    VEIN_GRAFT_THROMBOSIS = "vein_graft_thrombosis"
    PEDICLE_THROMBOSIS = "pedicle_thrombosis"
    LATE_THROMBOSIS = "late_thrombosis"
    SIGNS_IN_24_HOURS = "signs_in_24_hours"
    SIGNS_IN_72_HOURS = "signs_in_72_hours"
    RESCUED_WHOLE = "rescued_whole"
    RESCUED_IN_PART = "rescued_in_part"
    RESCUED_AFTER_SIGNS_IN_72_HOURS = "rescued_after_signs_in_72_hours"
    RESCUED_LATE = "rescued_late"
    REOPERATION = "reoperation"
    INFECTION = "infection"
    WOUND_TROUBLE = "wound_trouble"
    NON_UNION = "non_union"
    BONE_RESORPTION = "bone_resorption"
    MALALIGNMENT = "malalignment"
    JOINT_STIFFNESS = "joint_stiffness"
    NERVE_INJURY = "nerve_injury"
    NEUROMA = "neuroma"
    MECHANICAL_FAILURE = "mechanical_failure"
    ANY_COMPLICATION = "any_complication"
    MAJOR_COMPLICATION = "major_complication"
    GENERAL_COMPLICATION = "general_complication"
    SECONDARY_OPERATION = "secondary_operation"
    SECONDARY_TENDON = "secondary_tendon"
    SECONDARY_BONE = "secondary_bone"
    SECONDARY_JOINT = "secondary_joint"
    SECONDARY_SOFT_TISSUE = "secondary_soft_tissue"
    DONOR_TROUBLE = "donor_trouble"
    DONOR_PAIN = "donor_pain"
    DONOR_RESULT_NOT_GOOD = "donor_result_not_good"
    DONOR_TOE_SHORTENED = "donor_toe_shortened"
    GAIT_TROUBLE = "gait_trouble"
    VESSEL_VARIANT = "vessel_variant"
    NO_PINCH = "no_pinch"
    NOT_SAME_WORK = "not_same_work"
    NOT_USED_DAILY = "not_used_daily"
    FEELING_NOT_RELEARNT = "feeling_not_relearnt"
    FEELING_IN_DONOR = "feeling_in_donor"
    OVERSENSITIVE = "oversensitive"
    STATIC_TWO_POINT = "static_two_point"
    MOVING_TWO_POINT = "moving_two_point"
    MCP_MOTION = "mcp_motion"
    IP_MOTION = "ip_motion"
    TOTAL_MOTION = "total_motion"
    MOTION_OF_OTHER = "motion_of_other"
    GRIP_OF_OTHER = "grip_of_other"
    PINCH_OF_OTHER = "pinch_of_other"
    KEY_PINCH_OF_OTHER = "key_pinch_of_other"
    GROWTH_OF_OTHER = "growth_of_other"
    LENGTH_GAIN = "length_gain"
    HEALING_INDEX = "healing_index"
    TREATMENT_TIME = "treatment_time"
    UNION_TIME = "union_time"
    HOSPITAL_STAY = "hospital_stay"
    TIME_OFF_WORK = "time_off_work"
    ABDUCTION_GAIN = "abduction_gain"
    DISABILITY_SCORE = "disability_score"
    HALLUX_SCORE = "hallux_score"

    @property
    def words(self) -> str:
        """Return what happened, as it is printed: "loss of the transfer, flap or digit"."""
        return _WORDS[self][0]

    @property
    def unit(self) -> str:
        """Return the unit of a measured outcome; ``-`` where people or digits are counted."""
        return _WORDS[self][1]

    @property
    def is_counted(self) -> bool:
        """Return whether people or digits are counted, and not something measured."""
        return self.unit == "-"


_COUNTED = "-"
_PERCENT = "%"
_WORDS: dict[Outcome, tuple[str, str]] = {
    Outcome.LOSS: ("loss of the transfer, flap or digit", _COUNTED),
    Outcome.PARTIAL_LOSS: ("partial loss", _COUNTED),
    Outcome.CIRCULATION_TROUBLE: ("trouble with the circulation", _COUNTED),
    Outcome.REEXPLORATION: ("the vessels opened again after the operation", _COUNTED),
    Outcome.REVISED_IN_THEATRE: ("a vessel joined anew in the same operation", _COUNTED),
    Outcome.RESCUED: ("rescued, of those whose circulation failed", _COUNTED),
    Outcome.ARTERIAL_CAUSE: ("the artery at fault, of those opened again", _COUNTED),
    Outcome.TRUNK_THROMBOSIS: ("artery or vein clotted, of those in trouble", _COUNTED),
    Outcome.VEIN_GRAFT_THROMBOSIS: ("vein graft clotted, of those in trouble", _COUNTED),
    Outcome.PEDICLE_THROMBOSIS: ("clot in the pedicle", _COUNTED),
    Outcome.LATE_THROMBOSIS: ("clot from the fifth day on", _COUNTED),
    Outcome.SIGNS_IN_24_HOURS: ("first signs within 24 hours, of those in trouble", _COUNTED),
    Outcome.SIGNS_IN_72_HOURS: ("first signs within 72 hours, of those in trouble", _COUNTED),
    Outcome.RESCUED_WHOLE: ("rescued whole, of those opened again", _COUNTED),
    Outcome.RESCUED_IN_PART: ("rescued in part, of those opened again", _COUNTED),
    Outcome.RESCUED_AFTER_SIGNS_IN_72_HOURS: (
        "rescued, of those with first signs within 72 hours",
        _COUNTED,
    ),
    Outcome.RESCUED_LATE: ("rescued, of those in trouble late", _COUNTED),
    Outcome.REOPERATION: ("an operation that was not planned", _COUNTED),
    Outcome.INFECTION: ("infection", _COUNTED),
    Outcome.WOUND_TROUBLE: ("loss of skin or trouble of the wound", _COUNTED),
    Outcome.NON_UNION: ("bone not healed, or healed late", _COUNTED),
    Outcome.BONE_RESORPTION: ("the bone graft melted away", _COUNTED),
    Outcome.MALALIGNMENT: ("bone healed crooked", _COUNTED),
    Outcome.JOINT_STIFFNESS: ("stiffness of a joint", _COUNTED),
    Outcome.NERVE_INJURY: ("injury of a nerve", _COUNTED),
    Outcome.NEUROMA: ("neuroma", _COUNTED),
    Outcome.MECHANICAL_FAILURE: ("a part of the prosthesis changed", _COUNTED),
    Outcome.ANY_COMPLICATION: ("any complication", _COUNTED),
    Outcome.MAJOR_COMPLICATION: ("a major complication", _COUNTED),
    Outcome.GENERAL_COMPLICATION: ("a complication of the body as a whole", _COUNTED),
    Outcome.SECONDARY_OPERATION: ("a later operation to better the result", _COUNTED),
    Outcome.SECONDARY_TENDON: ("later freeing of the flexor tendon", _COUNTED),
    Outcome.SECONDARY_BONE: ("a later operation on bone", _COUNTED),
    Outcome.SECONDARY_JOINT: ("a later operation on a joint", _COUNTED),
    Outcome.SECONDARY_SOFT_TISSUE: ("a later operation on soft tissue", _COUNTED),
    Outcome.DONOR_TROUBLE: ("trouble of the donor site", _COUNTED),
    Outcome.DONOR_PAIN: ("late pain of the donor site", _COUNTED),
    Outcome.DONOR_RESULT_NOT_GOOD: ("a result of the donor foot that is not good", _COUNTED),
    Outcome.DONOR_TOE_SHORTENED: ("length of the donor toe lost", _COUNTED),
    Outcome.GAIT_TROUBLE: ("trouble with walking", _COUNTED),
    Outcome.VESSEL_VARIANT: ("vessels of the foot other than expected", _COUNTED),
    Outcome.NO_PINCH: ("no pinch achieved", _COUNTED),
    Outcome.NOT_SAME_WORK: ("not back at the same work", _COUNTED),
    Outcome.NOT_USED_DAILY: ("the digit not used daily", _COUNTED),
    Outcome.FEELING_NOT_RELEARNT: ("touch not fully placed on the thumb", _COUNTED),
    Outcome.FEELING_IN_DONOR: ("touch felt at the donor finger too", _COUNTED),
    Outcome.OVERSENSITIVE: ("oversensitive skin", _COUNTED),
    Outcome.STATIC_TWO_POINT: ("static two-point discrimination", "mm"),
    Outcome.MOVING_TWO_POINT: ("moving two-point discrimination", "mm"),
    Outcome.MCP_MOTION: ("motion of the MCP joint", "deg"),
    Outcome.IP_MOTION: ("motion of the IP joint", "deg"),
    Outcome.TOTAL_MOTION: ("total active motion", "deg"),
    Outcome.MOTION_OF_OTHER: ("motion, of that of the other side", _PERCENT),
    Outcome.GRIP_OF_OTHER: ("grip, of that of the other hand", _PERCENT),
    Outcome.PINCH_OF_OTHER: ("pinch, of that of the other hand", _PERCENT),
    Outcome.KEY_PINCH_OF_OTHER: ("key pinch, of that of the other hand", _PERCENT),
    Outcome.GROWTH_OF_OTHER: ("growth, of that of the other side", _PERCENT),
    Outcome.LENGTH_GAIN: ("length gained", "mm"),
    Outcome.HEALING_INDEX: ("days to heal for each centimetre", "days/cm"),
    Outcome.TREATMENT_TIME: ("time under treatment", "days"),
    Outcome.UNION_TIME: ("time to union", "weeks"),
    Outcome.HOSPITAL_STAY: ("time in hospital", "days"),
    Outcome.TIME_OFF_WORK: ("time off work", "weeks"),
    Outcome.ABDUCTION_GAIN: ("abduction gained", "deg"),
    Outcome.DISABILITY_SCORE: ("disability of arm and hand, 0 best to 100", "points"),
    Outcome.HALLUX_SCORE: ("score of the donor great toe, 100 best", "points"),
}
