"""What somebody meant to record and met the change of another: kept, shown, and settled."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import uuid4

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.documents import as_text, replayed, value_at
from thumbwright.storage.records import Attempt, Draft, Edit, Part, StoredCase, Table, Value
from thumbwright.web.clash_words import both, in_words, label
from thumbwright.web.desk import Desk
from thumbwright.web.exam_sections import entry_named, page_key_of
from thumbwright.web.growth_visits import VISITS, visit_page

START = "merge-"
"""How the drafts begin that keep what is not settled yet."""
CHOICES = ("theirs", "mine", "both")


class MergeError(PlanError):
    """What was not settled cannot be settled so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One fact that two people changed, in words."""

    number: int
    label: str
    theirs: tuple[str, ...]
    mine: tuple[str, ...]
    changed_by: str
    changed_at: str
    both: tuple[str, ...]
    """What both together would be; empty where it is one or the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsettled:
    """Everything the page of a conflict shows."""

    attempt: Attempt
    token: str
    version: int
    sides: tuple[Side, ...]
    beside: tuple[tuple[str, tuple[str, ...]], ...]
    """What meets nobody's change: label and value."""
    merged: Mapping[int, Value]

    def edits(self, choices: Mapping[int, str]) -> tuple[Edit, ...]:
        """Return what is to be recorded.

        Raises
        ------
        MergeError
            If something was not chosen.
        """
        open_ = [side.label for side in self.sides if choices.get(side.number) not in CHOICES]
        if open_:
            msg = (
                f"nothing was chosen for {', '.join(open_)}; allowed are theirs or yours for each; "
                "choose, then record"
            )
            raise MergeError(msg)
        found = []
        for number, edit in enumerate(self.attempt.edits):
            match choices.get(number, "mine"):
                case "mine":
                    found.append(edit)
                case "both" if number in self.merged:
                    found.append(Edit(path=edit.path, value=self.merged[number]))
        return tuple(found)


def keep(desk: Desk, attempt: Attempt, who: str) -> str:
    """Keep what somebody meant to record, and return under which word."""
    token = uuid4().hex[:12]
    edits: list[Value] = [[list(edit.path), edit.value] for edit in attempt.edits]
    answers = {"part": attempt.part.value, "why": attempt.why, "edits": as_text(edits)}
    desk.drafts.keep(attempt.key, START + token, who, answers, based_on=attempt.based_on)
    return token


def unsettled(desk: Desk, key: str, token: str, who: str) -> Unsettled:
    """Return what is not settled, as it stands now.

    Raises
    ------
    MergeError
        If nothing was kept under this word for this person.
    """
    draft = desk.drafts.of_page(key, START + token, who)
    if draft is None:
        msg = (
            "nothing of yours is unsettled under this address; allowed are those that the page of "
            "all changes lists; look there"
        )
        raise MergeError(msg)
    attempt, case = _attempt(key, draft), desk.cases.case(key)
    clashes = {clash.edit.path: clash for clash in desk.cases.clashes(attempt)}
    merged = _merged(desk, case, attempt)
    sides, beside = [], []
    for number, edit in enumerate(attempt.edits):
        name, mine = label(attempt.part, edit.path), in_words(attempt.part, edit.path, edit.value)
        clash = clashes.get(edit.path)
        if clash is None:
            beside.append((name, mine))
            continue
        together = merged.get(number)
        sides.append(
            Side(
                number=number,
                label=name,
                theirs=in_words(attempt.part, edit.path, clash.theirs),
                mine=mine,
                changed_by=clash.changed_by,
                changed_at=clash.changed_at.strftime("%Y-%m-%d %H:%M:%S"),
                both=() if together is None else in_words(attempt.part, edit.path, together),
            )
        )
    return Unsettled(
        attempt=attempt,
        token=token,
        version=case.version,
        sides=tuple(sides),
        beside=tuple(beside),
        merged=merged,
    )


def as_seen(desk: Desk, case: StoredCase, part: Part, based_on: int) -> Table:
    """Return a document as it stood on the page that somebody had open.

    A list is changed as a whole: what is recorded must be the list that this person saw with
    their own change, so that the changes of another are met and not taken for theirs.
    """
    if based_on >= case.version:
        return case.parts[part]
    history = desk.cases.history(case.key)
    return replayed(one for one in history if one.number <= based_on)[part]


def page_after(attempt: Attempt) -> str:
    """Return the page on which the facts of an attempt stand."""
    others = {Part.FILMS: "films", Part.DRAWING: "drawing", Part.DECISION: "plan"}
    name = ".".join(map(str, attempt.edits[0].path))
    if attempt.part is Part.FACTS and name == VISITS:
        return visit_page().key
    known = attempt.part is Part.FACTS and entry_named(name) is not None
    return page_key_of(name) if known else others.get(attempt.part, "history")


def _attempt(key: str, draft: Draft) -> Attempt:
    answers = draft.answers
    edits = tuple(
        Edit(path=tuple(path), value=value) for path, value in json.loads(str(answers["edits"]))
    )
    part, why = Part(str(answers["part"])), str(answers["why"])
    return Attempt(key=key, part=part, edits=edits, why=why, based_on=draft.based_on)


def _merged(desk: Desk, case: StoredCase, attempt: Attempt) -> dict[int, Value]:
    """Return the lists that hold the changes of both people, by the number of the edit."""
    base = as_seen(desk, case, attempt.part, attempt.based_on)
    there = case.parts[attempt.part]
    found: dict[int, Value] = {}
    for number, edit in enumerate(attempt.edits):
        if not isinstance(edit.value, list):
            continue
        together = both(value_at(base, edit.path), value_at(there, edit.path), edit.value)
        if together is not None:
            found[number] = together
    return found
