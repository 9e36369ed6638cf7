"""The level of loss, with the probability of each level and the reason in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scipy.special import stdtr

from thumbwright.core.case.examined import Finding
from thumbwright.core.case.hand import Kept
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.level.borders import Border, borders, margin
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.transposition import JointHeight

PLAUSIBLE_PROB = 0.05
"""A level less likely than this is not pursued further [-]; working assumption."""
SAME_PLACE_MM = 1e-6
"""Nearer than this two places are one, found by one measurement [mm]."""
NO_ROW = (
    "a joint is gone while one nearer the tip is there, which is no loss from the tip downwards"
)
"""Why a floating thumb, or one with a gap in its middle, has no level."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFinding:
    """The most probable level, the probability of each, and why."""

    level: Level | Unknown
    probabilities: Mapping[Level, float] | Unknown
    """Probability of each level [-]; unknown where nothing was measured."""
    allowed: tuple[Level, ...]
    """Levels the examination leaves open."""
    reasons: tuple[str, ...]
    conflict: str = ""
    """Set where film and examination do not agree."""

    @property
    def plausible(self) -> tuple[Level, ...]:
        """Return the levels worth keeping in mind, the most probable first.

        Notes
        -----
        Where film and examination do not agree, what either of them says stays in mind; where
        the examination leaves no level, every level does.
        """
        if isinstance(self.probabilities, Unknown):
            return self.allowed
        known = self.probabilities
        examined = (self.allowed or tuple(Level)) if self.conflict else ()
        return tuple(
            level
            for level in sorted(known, key=lambda level: -known[level])
            if known[level] >= PLAUSIBLE_PROB or level in examined
        )


def classify(
    kept: Kept, joints: Sequence[JointHeight], missing: Measured | Unknown
) -> LevelFinding:
    """Name the level of loss from the examination and the measured stump.

    Parameters
    ----------
    kept
        What was kept of the thumb, by examination.
    joints
        Joints of the pattern thumb, from its bony tip.
    missing
        Bone missing from the tip. [mm]

    Notes
    -----
    The probability that the stump ends beyond a border is that of a Student variable with
    the margin's doubt and degrees of freedom. What the examination excludes is taken out and
    the rest is scaled to one; if film and examination share no level, that is said and
    nothing is scaled.
    """
    allowed, reasons = _by_examination(kept)
    lines = borders(joints)
    if isinstance(missing, Unknown) or isinstance(lines, Unknown):
        why = missing if isinstance(missing, Unknown) else lines
        return _examined_only(allowed, reasons, why if isinstance(why, Unknown) else None)
    film = _by_film(lines, missing)
    reasons = (*reasons, _film_reason(lines, missing, _most_probable(film)))
    agreed = sum(film[level] for level in allowed)
    if agreed < PLAUSIBLE_PROB:
        return _in_conflict(film, allowed, reasons)
    both = {level: (film[level] / agreed if level in allowed else 0.0) for level in Level}
    return LevelFinding(
        level=_most_probable(both), probabilities=both, allowed=allowed, reasons=reasons
    )


def _most_probable(shares: Mapping[Level, float]) -> Level:
    """Return the most probable level; of two alike the greater loss, as the techniques do."""
    return max(shares, key=lambda level: (shares[level], level.value))


def _in_conflict(
    film: Mapping[Level, float], allowed: tuple[Level, ...], reasons: tuple[str, ...]
) -> LevelFinding:
    left = (
        f"the examination leaves {' or '.join(level.words for level in allowed)}. One of them is "
        "wrong"
        if allowed
        else "the joints found on the hand leave no level at all"
    )
    return LevelFinding(
        level=Unknown(
            reason="film and examination do not agree on the level" if allowed else NO_ROW,
            needed=("a second look at the joints of the stump, on the hand and on the film",),
        ),
        probabilities=film,
        allowed=allowed,
        reasons=reasons,
        conflict=f"The film says {_most_probable(film).words}; {left}.",
    )


def _by_examination(kept: Kept) -> tuple[tuple[Level, ...], tuple[str, ...]]:
    """Return the levels that the joints found leave open, and why."""
    allowed = set(Level)
    reasons = []
    if kept.cmc.present is Finding.NO:
        allowed &= {Level.CMC_JOINT}
        reasons.append("The CMC joint is gone, so the loss reaches level 5.")
    if kept.cmc.present is Finding.YES:
        allowed -= {Level.CMC_JOINT}
        reasons.append("The CMC joint is there, which excludes level 5.")
    if kept.mcp.present is Finding.YES:
        allowed -= {Level.METACARPAL, Level.CMC_JOINT}
        reasons.append("The MCP joint is there, which excludes levels 4 and 5.")
    if kept.mcp.present is Finding.NO:
        allowed -= {Level.TERMINAL_PHALANX, Level.PROXIMAL_PHALANX}
        reasons.append("The MCP joint is gone, which excludes levels 1 and 2.")
    if kept.ip.present is Finding.YES:
        allowed &= {Level.TERMINAL_PHALANX}
        reasons.append("The IP joint is there, so the loss lies in the terminal phalanx.")
    if kept.ip.present is Finding.NO:
        allowed -= {Level.TERMINAL_PHALANX}
        reasons.append("The IP joint is gone, which excludes level 1.")
    return tuple(level for level in Level if level in allowed), tuple(reasons)


def _examined_only(
    allowed: tuple[Level, ...], reasons: tuple[str, ...], why: Unknown | None
) -> LevelFinding:
    needed = why.needed if why else ()
    reason = why.reason if why else "nothing was measured"
    level: Level | Unknown
    if len(allowed) == 1:
        level = allowed[0]
    elif not allowed:
        level = Unknown(reason=NO_ROW, needed=("a second look at the joints of the stump",))
    else:
        level = Unknown(
            reason=f"the examination leaves {len(allowed)} levels open, and {reason}", needed=needed
        )
    return LevelFinding(
        level=level,
        probabilities=Unknown(reason=reason, needed=needed),
        allowed=allowed,
        reasons=reasons,
    )


def _by_film(lines: Sequence[Border], missing: Measured) -> dict[Level, float]:
    """Return the probability of each level from the measured stump alone [-]."""
    beyond = [0.0]
    for line in lines:
        beyond.append(max(beyond[-1], _beyond_prob(margin(line, missing))))
    shares = [after - before for before, after in zip(beyond, [*beyond[1:], 1.0], strict=True)]
    return dict(zip(Level, shares, strict=True))


def _beyond_prob(gap: Measured) -> float:
    """Return how probable it is that the stump ends beyond a border [-].

    Notes
    -----
    Where nothing of the ray is left, the missing length is the height of the CMC joint itself;
    the two doubts then cancel, and a stump that ends at a border does not end beyond it.
    """
    if gap.uncertainty < SAME_PLACE_MM:
        return float(gap.value > SAME_PLACE_MM)
    return float(stdtr(min(gap.degrees_of_freedom, 1e9), gap.value / gap.uncertainty))


def _film_reason(lines: Sequence[Border], missing: Measured, level: Level) -> str:
    near = min(lines, key=lambda line: abs(margin(line, missing).value))
    gap = margin(near, missing)
    where = f"{abs(gap.value):.1f} mm {'beyond' if gap.value > 0 else 'short of'}"
    where = "at" if abs(gap.value) < SAME_PLACE_MM else where
    amount = f"{missing.value:.1f}".replace("-", "−")
    return (
        f"On the film {amount} mm of bone are missing (standard uncertainty "
        f"{missing.uncertainty:.1f} mm); the stump ends {where} {near.words}: {level.words}."
    )
