"""Papers as they were handed out: numbered, hashed, never altered."""

from datetime import datetime

from sqlalchemy import RowMapping, func, insert, select

from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.records import IssuedPaper
from thumbwright.storage.tables import papers


class Papers:
    """The papers that were issued.

    Parameters
    ----------
    cases
        The cases to which they belong.
    store
        Where their bytes lie.
    """

    def __init__(self, cases: CaseStore, store: FileStore) -> None:
        self._cases = cases
        self.store = store

    def issue(  # noqa: PLR0913  what a paper is known by
        self,
        key: str,
        *,
        kind: str,
        title: str,
        version: int,
        facts_sha256: str,
        program: str,
        pdf: bytes,
        json: bytes,
        who: str,
    ) -> IssuedPaper:
        """Keep a paper for ever and number it.

        Raises
        ------
        NoSuchCaseError, StoreError
            If there is no such case, or it could not be written.
        """
        self._cases.case(key)
        pdf_sha256, json_sha256 = self.store.keep(pdf), self.store.keep(json)
        with self._cases.database.writing() as connection:
            ask = select(func.coalesce(func.max(papers.c.number), 0))
            number = connection.execute(ask.where(papers.c.case_key == key)).scalar_one() + 1
            connection.execute(
                insert(papers).values(
                    case_key=key,
                    number=number,
                    kind=kind,
                    title=title,
                    issued_at=self._cases.moment(),
                    issued_by=who,
                    version=version,
                    facts_sha256=facts_sha256,
                    program=program,
                    pdf_sha256=pdf_sha256,
                    json_sha256=json_sha256,
                )
            )
        return next(paper for paper in self.of_case(key) if paper.number == number)

    def of_case(self, key: str) -> tuple[IssuedPaper, ...]:
        """Return the papers of a case, the newest first."""
        ask = select(papers).where(papers.c.case_key == key).order_by(papers.c.number.desc())
        with self._cases.database.reading() as connection:
            return tuple(_record(row) for row in connection.execute(ask).mappings())


def _record(row: RowMapping) -> IssuedPaper:
    return IssuedPaper(
        number=row["number"],
        kind=row["kind"],
        title=row["title"],
        issued_at=datetime.fromisoformat(row["issued_at"]),
        issued_by=row["issued_by"],
        version=row["version"],
        facts_sha256=row["facts_sha256"],
        program=row["program"],
        pdf_sha256=row["pdf_sha256"],
        json_sha256=row["json_sha256"],
    )
