"""The five levels of loss that the trade speaks of (common practice, no source)."""

from enum import Enum


class Level(Enum):
    """Level of loss; a larger number is a greater loss."""

    TERMINAL_PHALANX = 1
    PROXIMAL_PHALANX = 2
    MCP_JOINT = 3
    METACARPAL = 4
    CMC_JOINT = 5

    @property
    def words(self) -> str:
        """Return the level as it is printed."""
        return _WORDS[self]


_WORDS = {
    Level.TERMINAL_PHALANX: "level 1, terminal phalanx",
    Level.PROXIMAL_PHALANX: "level 2, neck of the proximal phalanx",
    Level.MCP_JOINT: "level 3, at or about the MCP joint",
    Level.METACARPAL: "level 4, base of the metacarpal, CMC joint kept",
    Level.CMC_JOINT: "level 5, through or proximal to the CMC joint",
}
