"""Answers that were typed and not yet recorded; they outlive a closed tab and a killed server."""

import json
from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import ColumnElement, RowMapping, delete, insert, select

from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.records import Draft
from thumbwright.storage.tables import drafts

Answers = Mapping[str, str | list[str]]


class Drafts:
    """Drafts by case, page and person.

    Parameters
    ----------
    cases
        The cases to which they belong.
    """

    def __init__(self, cases: CaseStore) -> None:
        self._cases = cases

    def keep(self, key: str, page: str, who: str, answers: Answers, *, based_on: int) -> None:
        """Keep a draft in place of the last one.

        Raises
        ------
        NoSuchCaseError
            If there is no such case.
        """
        self._cases.case(key)
        with self._cases.database.writing() as connection:
            connection.execute(delete(drafts).where(*_is(key, page, who)))
            connection.execute(
                insert(drafts).values(
                    case_key=key,
                    page=page,
                    who=who,
                    saved_at=self._cases.moment(),
                    based_on=based_on,
                    answers=json.dumps(dict(answers), ensure_ascii=False),
                )
            )

    def of_page(self, key: str, page: str, who: str) -> Draft | None:
        """Return the draft of one page, if there is one."""
        ask = select(drafts).where(*_is(key, page, who))
        with self._cases.database.reading() as connection:
            row = connection.execute(ask).mappings().first()
        return None if row is None else _draft(row)

    def of_case(self, key: str, who: str, start: str) -> tuple[Draft, ...]:
        """Return the drafts of a person in a case whose page begins with some letters."""
        ask = select(drafts).where(drafts.c.case_key == key, drafts.c.who == who)
        ask = ask.where(drafts.c.page.startswith(start, autoescape=True))
        with self._cases.database.reading() as connection:
            rows = connection.execute(ask.order_by(drafts.c.saved_at)).mappings().all()
        return tuple(map(_draft, rows))

    def drop(self, key: str, page: str, who: str) -> None:
        """Forget a draft, once its answers were recorded or given up."""
        with self._cases.database.writing() as connection:
            connection.execute(delete(drafts).where(*_is(key, page, who)))


def _draft(row: RowMapping) -> Draft:
    return Draft(
        page=row["page"],
        who=row["who"],
        saved_at=datetime.fromisoformat(row["saved_at"]),
        based_on=row["based_on"],
        answers=json.loads(row["answers"]),
    )


def _is(key: str, page: str, who: str) -> tuple[ColumnElement[bool], ...]:
    return drafts.c.case_key == key, drafts.c.page == page, drafts.c.who == who
