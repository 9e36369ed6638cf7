"""The words of the page of wishes: goals, points and refusals, of whom; no code but rows."""

from typing import TypeAlias

_Section: TypeAlias = tuple[str, str, tuple[tuple[str, ...], ...]]
"""Legend, hint, lines."""

_SWINGS = (
    ("length", "Length", "From 30 mm too short to as long as the other thumb."),
    ("cmc_motion", "Motion of the basal joint (CMC)", "From stiff to 45 degrees."),
    ("mcp_motion", "Motion of the middle joint (MCP)", "From stiff to 50 degrees."),
    ("ip_motion", "Motion of the end joint (IP)", "From stiff to 60 degrees."),
    ("stability", "Stability", "From giving way to standing as an own thumb."),
    ("feeling", "Feeling", "From two-point discrimination of 15 mm to one of 4 mm."),
    ("looks", "Looks", "From the worst that can come of it to an own thumb."),
    ("growth", "Growth with the child", "From no growth to that of the other thumb."),
    (
        "spare_donor_site",
        "Sparing the donor site",
        "From the loss of a great toe or a sound finger to nothing taken.",
    ),
)


def _points(who: str) -> _Section:
    return (
        f"Points of the {who}",
        (
            "100 for the step from worst to best that matters most, the others beside it. "
            "They count once every goal in the order has some."
        ),
        tuple(
            (f"wishes.{who}_points.{goal}", f"{label} [points]", hint)
            for goal, label, hint in _SWINGS
        ),
    )


def _goals_of(who: str, hint: str) -> _Section:
    line = (f"wishes.{who}_goals", f"Goals in the {who}'s order", "Each at most once.")
    return f"Goals of the {who}", hint, (line,)


WISHES: tuple[str, str, tuple[_Section, ...]] = (
    "wishes",
    "Wishes of the patient",
    (
        (
            "Goals",
            "What a new thumb should give, or spare.",
            (
                (
                    "wishes.goals",
                    "Goals in the patient's order",
                    "The most important first; each at most once.",
                ),
            ),
        ),
        (
            "Refusals",
            "What the patient or family will not have.",
            (("wishes.refusals", "Refused", "Mark everything that was refused."),),
        ),
        _points("patient"),
        _goals_of("guardian", "Only where a parent or guardian speaks too."),
        _points("guardian"),
        _goals_of("surgeon", "Only where the surgeon wants to be heard beside the patient."),
        _points("surgeon"),
    ),
)
