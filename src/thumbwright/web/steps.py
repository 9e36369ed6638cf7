"""The steps of the care path, and how far each of them is."""

from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.storage.records import Part, StoredCase
from thumbwright.web.desk import Desk, Result
from thumbwright.web.exam_sections import ExamPage, document_progress, exam_pages
from thumbwright.web.growth_visits import grew_when_examined, row_of, visit_page, visits_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the path."""

    key: str
    title: str
    state: str
    """done, missing, begun, stale, waiting or needless"""
    words: str
    """The same in words, with what is missing."""

    @property
    def sign(self) -> str:
        """Return the sign beside the word."""
        signs = {"done": "●", "begun": "◐", "missing": "○", "stale": "▲"}
        return signs.get(self.state, "–")


def steps_of(desk: Desk, case: StoredCase, result: Result) -> tuple[Step, ...]:
    """Return every step in the order of the path."""
    return (
        *(_findings(case, page) for page in exam_pages()),
        _drawing(case),
        _photographs(desk, case),
        _films(desk, case),
        *_results(result),
        _decision(case, result),
        _papers(desk, case, result),
        _growth(desk, case),
    )


def _findings(case: StoredCase, page: ExamPage) -> Step:
    done, total, missing = document_progress(page, case.parts[Part.FACTS])
    if not missing:
        return Step(key=page.key, title=page.title, state="done", words="all examined")
    words = f"{done} of {total} examined"
    return Step(key=page.key, title=page.title, state="begun" if done else "missing", words=words)


def _drawing(case: StoredCase) -> Step:
    marks = case.parts[Part.DRAWING].get("marks")
    count = len(marks) if isinstance(marks, list) else 0
    words = f"{count} marks" if count > 1 else "1 mark" if count else "no mark"
    state = "done" if count else "missing"
    return Step(key="drawing", title="Drawing", state=state, words=words)


def _photographs(desk: Desk, case: StoredCase) -> Step:
    count = len(desk.files.of_case(case.key, "photograph"))
    words = f"{count} photographs" if count > 1 else "1 photograph" if count else "none"
    state = "done" if count else "missing"
    return Step(key="photographs", title="Photographs", state=state, words=words)


def _films(desk: Desk, case: StoredCase) -> Step:
    listed = case.parts[Part.FILMS].get("films") or []
    kept = {one.name for one in desk.files.of_case(case.key, "film")}
    names = [str(one.get("file")) for one in listed if isinstance(one, dict)]  # type: ignore[union-attr]
    lacking = [name for name in names if name not in kept]
    loose = sorted(kept - set(names))
    if lacking or loose:
        words = "; ".join(
            part
            for part, some in (
                (f"no picture of {', '.join(lacking)}", lacking),
                (f"nothing said of {', '.join(loose)}", loose),
            )
            if some
        )
        return Step(key="films", title="Films", state="begun", words=words)
    if not names:
        return Step(key="films", title="Films", state="missing", words="no film yet")
    words = f"{len(names)} films" if len(names) > 1 else "1 film"
    return Step(key="films", title="Films", state="done", words=words)


def _results(result: Result) -> tuple[Step, ...]:
    titles = (
        ("level", "Length and level"),
        ("options", "Techniques"),
        ("ahead", "What lies ahead"),
    )
    if result.paper is None:
        words = "waits: " + (
            f"{len(result.faults)} things to mend" if result.faults else "see the page"
        )
        words = words if result.job is None else "being worked out"
        return tuple(
            Step(key=key, title=title, state="waiting", words=words) for key, title in titles
        )
    return tuple(
        Step(key=key, title=title, state="done", words="worked out from the facts as they stand")
        for key, title in titles
    )


def _decision(case: StoredCase, result: Result) -> Step:
    decision, title = case.parts[Part.DECISION], "Plan and fallback"
    if not decision:
        return Step(key="plan", title=title, state="missing", words="not decided")
    if decision.get("facts_sha256") != result.facts_sha256:
        words = "decided on facts that have changed since"
        return Step(key="plan", title=title, state="stale", words=words)
    return Step(key="plan", title=title, state="done", words="decided")


def _papers(desk: Desk, case: StoredCase, result: Result) -> Step:
    papers, title = desk.papers.of_case(case.key), "Papers"
    if not papers:
        return Step(key="papers", title=title, state="missing", words="none issued")
    if papers[0].facts_sha256 != result.facts_sha256:
        words = f"no. {papers[0].number} is out of date: facts have changed since"
        return Step(key="papers", title=title, state="stale", words=words)
    return Step(key="papers", title=title, state="done", words=f"no. {papers[0].number} is current")


def _growth(desk: Desk, case: StoredCase) -> Step:
    facts, page = case.parts[Part.FACTS], visit_page()
    grew, visits = grew_when_examined(facts, desk.today()), visits_in(facts)
    if visits:
        some = "1 visit" if len(visits) == 1 else f"{len(visits)} visits"
        state, words = "done", f"{some}, the last on {row_of(visits[-1]).day}"
    elif isinstance(grew, Unknown) or grew:
        state, words = "missing", "no visit yet"
    else:
        state, words = "needless", "does not grow"
    return Step(key=page.key, title=page.title, state=state, words=words)
