"""The tables of the database. The migrations make them; a test holds both against each other."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

cases = Table(
    "cases",
    metadata,
    Column("key", String(32), primary_key=True),
    Column("name", Text, nullable=False),
    Column("summary", Text, nullable=False),
    Column("version", Integer, CheckConstraint("version >= 0", name="version"), nullable=False),
    Column("created_at", String(32), nullable=False),
    Column("changed_at", String(32), nullable=False),
    Column("archived_at", String(32)),
)

parts = Table(
    "parts",
    metadata,
    Column("case_key", String(32), ForeignKey("cases.key"), primary_key=True),
    Column("part", String(16), primary_key=True),
    Column("document", Text, nullable=False),
)
"""Each document as it stands now; it must equal what its changes add up to."""

changes = Table(
    "changes",
    metadata,
    Column("case_key", String(32), ForeignKey("cases.key"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("made_at", String(32), nullable=False),
    Column("made_by", Text, nullable=False),
    Column("part", String(16), nullable=False),
    Column("path", Text, nullable=False),
    Column("before", Text, nullable=False),
    Column("after", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("undoes", Integer),
)

files = Table(
    "files",
    metadata,
    Column("case_key", String(32), ForeignKey("cases.key"), primary_key=True),
    Column("name", String(200), primary_key=True),
    Column("kind", String(16), nullable=False),
    Column("media_type", String(100), nullable=False),
    Column("sha256", String(64), nullable=False, index=True),
    Column("size_bytes", Integer, nullable=False),
    Column("added_at", String(32), nullable=False),
    Column("added_by", Text, nullable=False),
    Column("removed_at", String(32)),
)

papers = Table(
    "papers",
    metadata,
    Column("case_key", String(32), ForeignKey("cases.key"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("kind", String(16), nullable=False),
    Column("title", Text, nullable=False),
    Column("issued_at", String(32), nullable=False),
    Column("issued_by", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("facts_sha256", String(64), nullable=False),
    Column("program", Text, nullable=False),
    Column("pdf_sha256", String(64), nullable=False),
    Column("json_sha256", String(64), nullable=False),
)

drafts = Table(
    "drafts",
    metadata,
    Column("case_key", String(32), ForeignKey("cases.key"), primary_key=True),
    Column("page", String(40), primary_key=True),
    Column("who", String(80), primary_key=True),
    Column("saved_at", String(32), nullable=False),
    Column("based_on", Integer, nullable=False),
    Column("answers", Text, nullable=False),
)

APPEND_ONLY = ("changes", "papers")
"""Tables whose rows the database itself refuses to alter or remove."""
