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
        """Return the levels worth keeping in mind, the most probable first."""
        if isinstance(self.probabilities, Unknown):
            return self.allowed
        known = self.probabilities
        return tuple(
            level
            for level in sorted(known, key=lambda level: -known[level])
            if known[level] >= PLAUSIBLE_PROB
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
    nearest = max(film, key=lambda level: film[level])
    agreed = sum(film[level] for level in allowed)
    reasons = (*reasons, _film_reason(lines, missing, nearest))
    if agreed < PLAUSIBLE_PROB:
        conflict = (
            f"The film says {nearest.words}; the examination leaves "
            f"{' or '.join(level.words for level in allowed)}. One of them is wrong."
        )
        return LevelFinding(
            level=Unknown(
                reason="film and examination do not agree on the level",
                needed=("a second look at the joints of the stump, on the hand and on the film",),
            ),
            probabilities=film,
            allowed=allowed,
            reasons=reasons,
            conflict=conflict,
        )
    both = {level: (film[level] / agreed if level in allowed else 0.0) for level in Level}
    return LevelFinding(
        level=max(both, key=lambda level: both[level]),
        probabilities=both,
        allowed=allowed,
        reasons=reasons,
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
    unmeasured = Unknown(reason=reason, needed=needed)
    level: Level | Unknown = (
        allowed[0]
        if len(allowed) == 1
        else Unknown(
            reason=f"the examination leaves {len(allowed)} levels open, and {reason}", needed=needed
        )
    )
    return LevelFinding(level=level, probabilities=unmeasured, allowed=allowed, reasons=reasons)


def _by_film(lines: Sequence[Border], missing: Measured) -> dict[Level, float]:
    """Return the probability of each level from the measured stump alone [-]."""
    beyond = [0.0]
    for line in lines:
        gap = margin(line, missing)
        freedom = min(gap.degrees_of_freedom, 1e9)
        beyond.append(max(beyond[-1], float(stdtr(freedom, gap.value / gap.uncertainty))))
    shares = [after - before for before, after in zip(beyond, [*beyond[1:], 1.0], strict=True)]
    return dict(zip(Level, shares, strict=True))


def _film_reason(lines: Sequence[Border], missing: Measured, level: Level) -> str:
    near = min(lines, key=lambda line: abs(margin(line, missing).value))
    gap = margin(near, missing)
    way = "beyond" if gap.value > 0 else "short of"
    return (
        f"On the film {missing.value:.1f} mm of bone are missing (standard uncertainty "
        f"{missing.uncertainty:.1f} mm); the stump ends {abs(gap.value):.1f} mm {way} "
        f"{near.words}: {level.words}."
    )
