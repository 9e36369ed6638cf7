"""An answer that may be unknown, with the reason and what would settle it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """Say that an answer cannot be given, why, and which finding would give it.

    Examples
    --------
    >>> str(Unknown(reason="the other thumb was not filmed", needed=("a film of the right hand",)))
    'unknown, because the other thumb was not filmed; needed: a film of the right hand'
    """

    reason: str
    """Why it cannot be said, as the end of a sentence that begins with *because*."""
    needed: tuple[str, ...] = ()
    """Findings, films or facts, each of which would help to settle it."""

    def __str__(self) -> str:
        """Return one sentence."""
        needed = f"; needed: {', '.join(self.needed)}" if self.needed else ""
        return f"unknown, because {self.reason}{needed}"
