"""What each technique's thumb would reach, as rows and sentences of the paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.reach.grasp import CONSTRUCT
from thumbwright.core.reach.results import Pinch, PinchKind, Probability, Reach
from thumbwright.core.reach.skeleton import HINGES, OF_THIS_HAND, Digit
from thumbwright.core.reach.stages import RULE, SHIFTED
from thumbwright.documents.paper_parts import (
    Picture,
    PrintedNumber,
    Sentence,
    printed_share,
    said,
    sentence,
)
from thumbwright.documents.reach_figures import (
    View,
    curve_drawing,
    curve_words,
    pinch_drawing,
    pinch_picture,
    workspace_drawing,
    workspace_words,
)

_ASSUMED = Basis(provenance=Provenance.ASSUMED)
_SHOWN = ((PinchKind.TIP, View.THUMB_SIDE), (PinchKind.KEY, View.PALM))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachRow:
    """What one thumb reaches, in a line."""

    technique: str
    """Name of the technique, or what it is compared with."""
    highest: str
    """Highest stage of opposition in words, or why there is none."""
    index_tip: PrintedNumber | Unknown
    """Tip pinch with the index. [-]"""
    index_pulp: PrintedNumber | Unknown
    middle_tip: PrintedNumber | Unknown
    key: PrintedNumber | Unknown
    """Key pinch against the first finger that is there. [-]"""
    grasp: PrintedNumber
    """Largest cylinder between thumb and fingers. [mm]"""
    of_whole: PrintedNumber
    """Share of the pinches that a whole thumb of this hand makes. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PinchRow:
    """One pinch against one finger."""

    name: str
    """"tip pinch, index finger"."""
    reached: PrintedNumber
    """[-]"""
    thumb: str
    """Middle posture of the thumb, in words with its units; a dash where it is never reached."""
    finger: str
    """Middle posture of the finger."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachDetail:
    """What is told of one thumb beside its row."""

    technique: str
    joints: tuple[Sentence, ...]
    """How far each joint moves, and on what that rests."""
    sentences: tuple[Sentence, ...]
    pinches: tuple[PinchRow, ...]
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachSection:
    """Whether the new thumb will reach."""

    rows: tuple[ReachRow, ...]
    details: tuple[ReachDetail, ...]
    notes: tuple[Sentence, ...]
    """What holds for all of them."""


def reach_section(
    reaches: Sequence[Reach], whole: Reach, names: Mapping[str, str], side: Side
) -> tuple[ReachSection, dict[str, str]]:
    """Return the section on reach, and its drawings by name.

    Parameters
    ----------
    reaches
        One for each technique that may be had.
    whole
        A whole normal thumb on the same hand.
    names
        Name of each technique, by key.
    side
        Which hand.
    """
    rows = [_row(whole, "a whole normal thumb on this hand")]
    details: list[ReachDetail] = []
    drawings: dict[str, str] = {}
    for reach in reaches:
        rows.append(_row(reach, names[reach.key]))
        pictures, drawn = _pictures(reach, whole, side)
        drawings |= drawn
        details.append(
            ReachDetail(
                technique=names[reach.key],
                joints=_joints(reach),
                sentences=_sentences(reach),
                pinches=tuple(_pinch(one) for one in reach.pinches),
                pictures=pictures,
            )
        )
    section = ReachSection(rows=tuple(rows), details=tuple(details), notes=_notes(whole))
    return section, drawings


def _pinch(pinch: Pinch) -> PinchRow:
    thumb = finger = "–"
    if not isinstance(pinch.posture, Unknown):
        bent, aside, mcp, ip, _ = (
            f"{angle:.0f}°".replace("-", "−") for angle in pinch.posture.thumb_deg
        )
        thumb = f"CMC {bent} flexed, {aside} abducted; MCP {mcp}; IP {ip}"
        finger = ", ".join(f"{angle:.0f}°" for angle in pinch.posture.finger_deg)
    return PinchRow(
        name=f"{pinch.kind.value}, {pinch.digit.value} finger",
        reached=printed_share(pinch.reached.prob),
        thumb=thumb,
        finger=finger.replace("-", "−"),
    )


def _row(reach: Reach, name: str) -> ReachRow:
    key = next((one for one in reach.pinches if one.kind is PinchKind.KEY), None)
    width = reach.widest_grasp
    return ReachRow(
        technique=name,
        highest=_highest(reach),
        index_tip=_share(reach.pinch(PinchKind.TIP, Digit.INDEX)),
        index_pulp=_share(reach.pinch(PinchKind.PULP, Digit.INDEX)),
        middle_tip=_share(reach.pinch(PinchKind.TIP, Digit.MIDDLE)),
        key=_share(key or Unknown(reason="there is no finger to pinch against")),
        grasp=PrintedNumber(
            words=f"{width.middle_mm:.0f} mm ({width.low_mm:.0f} to {width.high_mm:.0f})",
            value=width.middle_mm,
            unit="mm",
            low=width.low_mm,
            high=width.high_mm,
            level_prob=0.95,
        ),
        of_whole=printed_share(reach.workspace_share),
    )


def _highest(reach: Reach) -> str:
    found = reach.opposition.highest
    if isinstance(found, Unknown):
        return f"none, because {found.reason}"
    words = next(one.words for one in reach.opposition.stages if one.number == found)
    return f"stage {found}, {words}"


def _share(pinch: Pinch | Unknown) -> PrintedNumber | Unknown:
    return pinch if isinstance(pinch, Unknown) else printed_share(pinch.reached.prob)


def _joints(reach: Reach) -> tuple[Sentence, ...]:
    found = [
        Sentence(
            text=f"{name} {_span(hinge.low_deg, hinge.high_deg)}: {hinge.statement.text}",
            basis=_shown(hinge.statement.basis),
        )
        for name, hinge in zip(HINGES, reach.thumb.hinges, strict=True)
    ]
    return (*found, _own(reach.thumb.web))


def _shown(basis: Basis) -> Basis | None:
    """Leave out the basis of what was found in this hand."""
    return None if basis == OF_THIS_HAND else basis


def _own(statement: Statement) -> Sentence:
    return Sentence(text=statement.text, basis=_shown(statement.basis))


def _span(low_deg: float, high_deg: float) -> str:
    ends = (
        f"{low_deg:.0f}° to {high_deg:.0f}°" if high_deg > low_deg else f"fixed at {low_deg:.0f}°"
    )
    return ends.replace("-", "−")


def _sentences(reach: Reach) -> tuple[Sentence, ...]:
    return (*(_own(one) for one in reach.thumb.remarks), *said(*_words(reach)))


def _words(reach: Reach) -> list[str]:
    words = [f"Highest stage of opposition: {_highest(reach)}."]
    curve = reach.curve
    if not isinstance(curve.enough_mm, Unknown):
        words.append(f"Nothing more is gained beyond {_mm(curve.enough_mm)}.")
    for digit, below in curve.missed_below_mm.items():
        if not isinstance(below, Unknown):
            words.append(f"Shorter than {_mm(below)} it misses the {digit.value} finger.")
    for effect in reach.effects:
        was = "were fused" if effect.now_moves else "moved normally"
        change = f"{effect.stage_change:+.1f}".replace("-", "−")
        words.append(f"If the {effect.joint} {was}: mean stage {change}.")
    return words


def _mm(added_mm: float) -> str:
    """Tell a length against the planned one."""
    if added_mm == 0:
        return "the planned length"
    return f"the planned length {'and' if added_mm > 0 else 'less'} {abs(added_mm):.0f} mm"


def _notes(whole: Reach) -> tuple[Sentence, ...]:
    error = Probability(prob=0.5, draws=whole.draws).error_prob
    made = (
        f"Shares are of {whole.draws} draws (seed {whole.seed}); chance alone moves them by up to "
        f"{100 * error:.1f} % (one standard error)."
    )
    limits = (
        "This is geometry of hinges: strength, feeling, tendons and skin are not in it, and a "
        "pinch that is possible need not be a strong one."
    )
    return (
        *said(made),
        Sentence(text=limits, basis=_ASSUMED),
        sentence(RULE),
        sentence(SHIFTED),
        sentence(CONSTRUCT),
        sentence(whole.hand.size.statement),
    )


def _pictures(reach: Reach, whole: Reach, side: Side) -> tuple[tuple[Picture, ...], dict[str, str]]:
    pictures: list[Picture] = []
    drawn: dict[str, str] = {}
    for kind, view in _SHOWN:
        pinch = next((one for one in reach.pinches if one.kind is kind), None)
        drawing = None if pinch is None else pinch_drawing(reach, pinch, side, view)
        if pinch is not None and isinstance(drawing, str):
            picture = pinch_picture(reach, pinch, side, view)
            pictures.append(picture)
            drawn[picture.name] = drawing
    for what, words, drawing in (
        ("ground", workspace_words(reach, side), workspace_drawing(reach, whole, side)),
        (
            "length",
            curve_words(reach.curve),
            curve_drawing(reach.curve, title=curve_words(reach.curve)),
        ),
    ):
        name = f"own drawing, reach {reach.key} {what}.svg"
        pictures.append(Picture(name=name, alt=words, caption=words))
        drawn[name] = drawing
    return tuple(pictures), drawn
