"""What is done at the bedside, each with a box to tick: listen, test, tape, photograph."""

from collections.abc import Iterator
from dataclasses import dataclass

from thumbwright.core.case.examined import Side
from thumbwright.core.case.hand import AllenTest, RecipientVessels
from thumbwright.core.dimensions.dimension_plan import DimensionPlan
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.techniques.technique import Toe


@dataclass(frozen=True, slots=True, kw_only=True)
class ToDo:
    """One thing to be done, with a box to tick."""

    text: str
    known: str = ""
    """What the case says of it already."""


_FOOT_MARKS = (
    ("A: artery of the back of the foot, at the base of the first gap between metatarsals", "A"),
    ("B: first dorsal metatarsal artery; press it and listen again in the web", "B"),
    ("C: first web of the foot; press the sole, then the back, and say which one feeds it", "C"),
    ("D: great saphenous vein and its branches, with the leg hanging and a soft tourniquet", "D"),
)
_HAND_MARKS = (
    "E: radial artery in the snuff box",
    "F: cephalic vein, with the arm hanging and a soft tourniquet",
    "G: ulnar artery at the wrist",
)
_GROIN_MARKS = (
    "femoral artery below the fold of the groin",
    "superficial circumflex iliac artery, two fingers below the fold, out to the iliac spine",
)
_PHOTOGRAPHS = (
    "both hands from the back and from the palm, in one picture, with a ruler",
    "the stump from the front, from both sides and from its end, with a ruler",
    "the first web of both hands, spread as far as it goes",
)
_FOOT_PHOTOGRAPHS = (
    "both feet from the back and from the sole, with a ruler",
    "the donor toe beside the other thumb, nails up, then from the side",
    "the skin with every mark, before the operation",
)


def _found(finding: object) -> str:
    """Return a finding of the case in words."""
    value = str(getattr(finding, "value", finding))
    return f"in the case: {value.replace('_', ' ')}"


def marks(plan: DimensionPlan, parts: PlanParts, donor: tuple[Side, Toe] | None) -> Iterator[ToDo]:
    """Yield where to listen, on the donor and on the hand."""
    case = parts.case
    hand = case.recipient_vessels
    if donor is not None:
        side = donor[0]
        foot = case.feet.of(side)
        known = {
            "A": _found(foot.dorsal_pedal_pulse),
            "B": _found(foot.dominant_artery),
            "C": _found(foot.first_web_doppler),
        }
        for text, letter in _FOOT_MARKS:
            yield ToDo(text=f"{side.value.upper()} foot, {text}", known=known.get(letter, ""))
    if plan.technique.key == "staged_osteoplastic":
        for text in _GROIN_MARKS:
            yield ToDo(text=f"{case.injury.side.value.upper()} groin: {text}")
    if not plan.technique.is_operation:
        return
    found = (hand.snuffbox_doppler, hand.superficial_veins, hand.ulnar_pulse)
    for text, finding in zip(_HAND_MARKS, found, strict=True):
        yield ToDo(text=f"{case.injury.side.value.upper()} hand, {text}", known=_found(finding))


def allen(vessels: RecipientVessels, side: Side) -> tuple[ToDo, ...]:
    """Return the steps of the Allen test with what the case says of it."""
    where = f"{side.value.upper()} hand"
    steps = (
        f"{where}: press both arteries at the wrist, open and close the fist until it is pale",
        "let go of the radial artery; count the seconds until the whole hand is pink: ____ s",
        "the same for the ulnar artery: ____ s",
    )
    known = _found(vessels.allen_test)
    if vessels.allen_test is AllenTest.ULNAR_ONLY:
        known += "; the radial artery is not to be spent before it was imaged"
    return tuple(
        ToDo(text=text, known=known if place == 0 else "") for place, text in enumerate(steps)
    )


def tape(parts: PlanParts, donor: tuple[Side, Toe] | None) -> Iterator[ToDo]:
    """Yield each girth to be taped."""
    other = parts.case.injury.side.other.value.upper()
    digits = [(f"{other} thumb", parts.girths.other_thumb)]
    if donor is not None:
        side, toe = donor
        foot = parts.girths.foot(side)
        digits.append(
            (
                f"{side.value.upper()} {toe.value} toe",
                foot.great if toe is Toe.GREAT else foot.second,
            )
        )
    for name, digit in digits:
        for level, girth in (
            ("nail", digit.nail_mm),
            ("joint", digit.joint_mm),
            ("base", digit.base_mm),
        ):
            known = f"typed: {girth:.1f} mm" if isinstance(girth, float | int) else ""
            yield ToDo(text=f"girth of the {name} at its {level}: ______ mm", known=known)


def photographs(donor: tuple[Side, Toe] | None) -> tuple[ToDo, ...]:
    """Return what is to be photographed."""
    texts = (*_PHOTOGRAPHS, *(_FOOT_PHOTOGRAPHS if donor is not None else _FOOT_PHOTOGRAPHS[-1:]))
    return tuple(ToDo(text=text) for text in texts)
