"""The facts of the case as rows of the paper: what was found, and what was not examined."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import Enum

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.goals import Goal
from thumbwright.core.case.growing import is_growing
from thumbwright.core.case.hand import Joint
from thumbwright.core.case.injury import Mechanism, PartState
from thumbwright.core.case.patient import age_years
from thumbwright.core.comparison.criteria import goal_words
from thumbwright.documents.plan_content import FindingRow, NotExaminedRow

_UNITS = {
    "_mm": " mm",
    "_deg": "°",
    "_cm": " cm",
    "_kg": " kg",
    "_years": " years",
    "_hours": " hours",
    "_share": " %",
    "_per_day": " a day",
}
_GROUPS = (
    ("patient", "patient"),
    ("injury", "injury"),
    ("kept", "injured thumb"),
    ("other_thumb", "other thumb"),
    ("fingers", "other fingers of the injured hand"),
    ("recipient_vessels", "vessels of the injured hand"),
    ("feet.left", "LEFT foot"),
    ("feet.right", "RIGHT foot"),
    ("feet", "both feet"),
    ("facility", "what the unit offers"),
    ("wishes", "wishes, in the patient's order"),
)
_WORDS = {
    "allen_test": "Allen test",
    "asa_class": "ASA class",
    "cool_hours": "cooled for",
    "first_web_doppler": "Doppler of the first web",
    "first_web_span_deg": "angle of the first web",
    "first_web_span_mm": "width of the first web",
    "fifth": "fifth toe",
    "fourth": "fourth toe",
    "great": "great toe",
    "guardian_goals": "goals of the guardian, in the guardian's order",
    "guardian_points": "guardian's points for",
    "imaging": "imaging of the vessels",
    "lost_part": "lost part",
    "other_thumb": "state",
    "patient_points": "patient's points for",
    "second": "second toe",
    "snuffbox_doppler": "Doppler in the snuff box",
    "spare_donor_site": "sparing the donor site",
    "state": "state",
    "surgeon_goals": "goals of the surgeon, in the surgeon's order",
    "surgeon_points": "surgeon's points for",
    "third": "third toe",
    "two_point_mm": "two-point discrimination",
    "warm_hours": "uncooled for",
}
"""Names that are not the field's own with spaces."""
_JOINTS = {"cmc": "CMC joint", "mcp": "MCP joint", "ip": "IP joint"}
_PLAIN_GROUPS = frozenset({"tendons", "toes"})
"""Records whose own name adds nothing to the names of what is in them."""
_POINTS = ("wishes.patient_points", "wishes.guardian_points", "wishes.surgeon_points")
_PERSONAL = frozenset({"pseudonym", "birth_date"})
"""The one stands in the head of every page; of the other the age does, which tells less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """One thing that can be examined."""

    group: str
    name: str
    found: str
    """What was found; empty if nobody looked."""


def findings(case: Case) -> tuple[FindingRow, ...]:
    """Return everything that was found, a row each, in the order of the case document."""
    return tuple(
        FindingRow(group=entry.group, name=entry.name, found=entry.found)
        for entry in _entries(case)
        if entry.found
    )


def not_examined(case: Case) -> tuple[NotExaminedRow, ...]:
    """Return what nobody looked at, by group; what cannot be looked for is left out."""
    names: dict[str, list[str]] = defaultdict(list)
    for entry in _entries(case):
        if not entry.found:
            names[entry.group].append(entry.name)
    return tuple(NotExaminedRow(group=group, names=tuple(found)) for group, found in names.items())


def _entries(case: Case) -> Iterator[_Entry]:
    pointless = _pointless(case)
    for path, group in _GROUPS:
        value: object = case
        for step in path.split("."):
            value = getattr(value, step)
        if not is_dataclass(value):
            yield _Entry(group=group, name=_WORDS[path], found=_in_words(value, ""))
            continue
        for place, name, found in _leaves(value, path, ""):
            if found or place not in pointless:
                yield _Entry(group=group, name=name, found=found)


def _pointless(case: Case) -> frozenset[str]:
    """Return the places where an answer would tell nothing, given what else is known."""
    # Points are given by those who want to say more than an order; nobody misses them.
    places = {f"{voice}.{goal.value}" for voice in _POINTS for goal in Goal}
    if case.injury.mechanism is not Mechanism.ELECTRICAL:
        places.add("injury.high_voltage")
    if case.injury.lost_part.state in {PartState.RUINED, PartState.LOST, PartState.NONE}:
        places |= {"injury.lost_part.warm_hours", "injury.lost_part.cool_hours"}
    if is_growing(case.patient, age_years(case.patient, case.examined_on)) is False:
        places.add("patient.bone_age_years")
    return frozenset(places)


def _leaves(record: object, path: str, before: str) -> Iterator[tuple[str, str, str]]:
    """Yield place, name in words and finding of every field, records within records too."""
    for field in fields(record):  # type: ignore[arg-type]  # only called with dataclasses
        value, place = getattr(record, field.name), f"{path}.{field.name}"
        if field.name in _PERSONAL or place in {"feet.left", "feet.right"}:
            continue
        if isinstance(value, Joint):
            yield from _joint(value, place, _JOINTS[field.name])
        elif is_dataclass(value):
            inner = "" if field.name in _PLAIN_GROUPS else _name(field.name)
            yield from _leaves(value, place, f"{inner} " if inner else "")
        elif value not in ((), "") or place == "wishes.goals":
            found = _in_words(value, _unit(field.name)) if value != () else "none stated"
            yield place, before + _name(field.name), found


def _joint(joint: Joint, place: str, name: str) -> Iterator[tuple[str, str, str]]:
    """Yield a joint in one row, and each thing about it that nobody looked at in another."""
    if joint.present is Finding.NO:
        yield place, name, "lost"
        return
    words = (
        ("presence", joint.present, {"yes": "there"}),
        ("motion", joint.mobile, {"yes": "mobile", "no": "stiff"}),
        ("stability", joint.stable, {"yes": "stable", "no": "unstable"}),
    )
    found = [said[one.value] for _, one, said in words if one is not Finding.NOT_EXAMINED]
    ends = [joint.range_from_deg, joint.range_to_deg]
    known = [_in_words(end, "°") for end in ends if not isinstance(end, NotExamined)]
    if known:
        found.append(" to ".join(known) if len(known) == 2 else f"one end of its range {known[0]}")
    if found:
        yield place, name, ", ".join(found)
    for what, one, _ in words:
        if one is Finding.NOT_EXAMINED:
            yield place, f"{what} of the {name}", ""
    if len(known) < 2:
        yield place, f"range of the {name}", ""


def _name(field_name: str) -> str:
    if field_name in _WORDS:
        return _WORDS[field_name]
    return field_name.removesuffix(_suffix(field_name)).replace("_", " ")


def _unit(field_name: str) -> str:
    return _UNITS.get(_suffix(field_name), "")


def _suffix(field_name: str) -> str:
    return next((ending for ending in _UNITS if field_name.endswith(ending)), "")


def _in_words(value: object, unit: str) -> str:
    """Return a finding as it is printed; nothing if nobody looked."""
    if isinstance(value, Goal):
        return goal_words(value)
    if isinstance(value, Enum):
        not_seen = value.value == NotExamined.NOT_EXAMINED.value
        return "" if not_seen else str(value.value).replace("_", " ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return "; ".join(_in_words(each, unit) for each in value)
    if isinstance(value, float | int):
        amount = 100 * value if unit == _UNITS["_share"] else value
        return f"{amount:g}{unit}".replace("-", "−")
    return str(value)
