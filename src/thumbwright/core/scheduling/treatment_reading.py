"""Reads the courses of treatment from the text of their TOML file, and refuses any fault in it."""

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source, Statement
from thumbwright.core.scheduling.durations import LogNormal, from_mean_and_deviation, from_span
from thumbwright.core.scheduling.resources import Kind
from thumbwright.core.scheduling.treatment import Gap, StepKind, Treatment, TreatmentStep
from thumbwright.core.techniques.technique import Technique

_SHORTEST_MINUTES = 5.0
_NO_LATEST = "none"


def read_treatments(
    text: str, techniques: Sequence[Technique], bibliography: Mapping[str, Source]
) -> Mapping[str, Treatment]:
    """Read the course of treatment of every technique.

    Parameters
    ----------
    text
        The text of the TOML file.
    techniques
        The techniques, whose hours in theatre the operations take.
    bibliography
        The sources that statements may name.

    Raises
    ------
    KnowledgeError
        If the text is no TOML, a technique follows no course, a step or source is not known, a
        gap is out of order or leads to a step that does not come before.
    """
    try:
        tables = tomllib.loads(text)
        follows, shared, courses = tables["follows"], tables["step"], tables["course"]
    except (tomllib.TOMLDecodeError, KeyError) as fault:
        msg = (
            f"the courses of treatment could not be read ({fault}); allowed is a TOML file with "
            "the tables follows, step and course; mend treatments.toml"
        )
        raise KnowledgeError(msg) from fault
    found = {}
    for technique in techniques:
        pattern = follows.get(technique.key)
        if pattern not in courses:
            raise _fault(f"follows.{technique.key}", repr(pattern), "the name of a course")
        reader = _Reader(bibliography=bibliography, technique=technique)
        found[technique.key] = reader.treatment(str(pattern), courses[pattern], shared)
    return found


def _fault(path: str, given: str, allowed: str) -> KnowledgeError:
    return KnowledgeError(
        f"the courses of treatment have {given} at {path}; allowed is {allowed}; "
        "mend treatments.toml there"
    )


class _Reader:
    """Reads one course for one technique."""

    def __init__(self, *, bibliography: Mapping[str, Source], technique: Technique) -> None:
        self.bibliography = bibliography
        self.technique = technique

    def treatment(
        self, pattern: str, course: Mapping[str, Any], shared: Mapping[str, Any]
    ) -> Treatment:
        """Return the course with all its steps."""
        steps: list[TreatmentStep] = []
        for key in course["steps"]:
            path = f"course.{pattern}.{key}"
            entries = {**shared.get(key, {}), **course.get(key, {})}
            try:
                step = self.step(key, entries, path)
            except (KeyError, TypeError, ValueError) as fault:
                raise _fault(
                    path, f"a fault ({fault})", "a step as the file's head says"
                ) from fault
            known = {before.key for before in steps}
            lost = [gap.after for gap in step.gaps if gap.after not in known]
            if lost:
                raise _fault(path, f"a gap after {lost}", "a gap after an earlier step")
            steps.append(step)
        return Treatment(
            technique=self.technique.key,
            pattern=pattern,
            steps=tuple(steps),
            emergency=bool(course.get("emergency", False)),
        )

    def step(self, key: str, entries: Mapping[str, Any], path: str) -> TreatmentStep:
        """Return one step."""
        share = entries.get("share")
        return TreatmentStep(
            key=key,
            name=entries["name"],
            kind=StepKind(entries["kind"]),
            needs=tuple(Kind(name) for name in entries["needs"]),
            length=self.length(entries, path),
            length_statement=self.statement(entries["length"], path),
            gaps=tuple(self.gap(gap, path) for gap in entries.get("gaps", ())),
            joins_vessels=bool(entries.get("joins_vessels", False)),
            usual=bool(entries.get("usual", True)),
            share_prob=None if share is None else float(share[0]),
        )

    def length(self, entries: Mapping[str, Any], path: str) -> LogNormal:
        """Return how long a step takes: its own minutes, or its share of the technique's hours."""
        if "minutes" in entries:
            mean, deviation = entries["minutes"]
            return from_mean_and_deviation(max(float(mean), _SHORTEST_MINUTES), float(deviation))
        hours = self.technique.hours
        if isinstance(hours, Unknown) or hours.low <= 0:
            given = "no hours in theatre of the technique"
            raise _fault(path, given, "an operation whose technique names its hours")
        return from_span(hours, float(entries["share_of_hours"]))

    def gap(self, entries: Mapping[str, Any], path: str) -> Gap:
        """Return one gap."""
        earliest, best, latest = entries["days"]
        last = None if latest == _NO_LATEST else float(latest)
        if not (0 <= earliest <= best and (last is None or best <= last)):
            raise _fault(path, f"the days {entries['days']}", "earliest, best, latest in order")
        return Gap(
            after=entries["after"],
            earliest_days=float(earliest),
            best_days=float(best),
            latest_days=last,
            statement=self.statement(entries["statement"], path),
        )

    def statement(self, parts: Sequence[str], path: str) -> Statement:
        """Return a statement whose source is known."""
        text, provenance, source, locator = (*parts, "", "")[:4]
        if source and source not in self.bibliography:
            raise _fault(path, f"the source '{source}'", "a key of the bibliography")
        basis = Basis(provenance=Provenance(provenance), source=source, locator=locator)
        return Statement(text=text, basis=basis)
