"""Cases, their documents, changes, files, papers and drafts."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

KEPT_FOREVER = ("changes", "papers")


def upgrade() -> None:
    """Make the tables, and let the database refuse to alter what was once written."""
    for make in (_cases, _parts, _changes, _files, _papers, _drafts):
        make()
    for table in KEPT_FOREVER:
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are kept for ever'); END"
            )


def downgrade() -> None:
    """Refuse: going back would lose what was recorded."""
    msg = "there is no schema before the first; restore a backup instead"
    raise NotImplementedError(msg)


def _cases() -> None:
    op.create_table(
        "cases",
        sa.Column("key", sa.String(32), primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("summary", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("created_at", sa.String(32), nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
        sa.Column("archived_at", sa.String(32)),
        sa.CheckConstraint("version >= 0", name="ck_cases_version"),
    )


def _parts() -> None:
    op.create_table(
        "parts",
        sa.Column("case_key", sa.String(32), sa.ForeignKey("cases.key"), primary_key=True),
        sa.Column("part", sa.String(16), primary_key=True),
        sa.Column("document", sa.Text, nullable=False),
    )


def _changes() -> None:
    op.create_table(
        "changes",
        sa.Column("case_key", sa.String(32), sa.ForeignKey("cases.key"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("made_by", sa.Text, nullable=False),
        sa.Column("part", sa.String(16), nullable=False),
        sa.Column("path", sa.Text, nullable=False),
        sa.Column("before", sa.Text, nullable=False),
        sa.Column("after", sa.Text, nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("undoes", sa.Integer),
    )


def _files() -> None:
    op.create_table(
        "files",
        sa.Column("case_key", sa.String(32), sa.ForeignKey("cases.key"), primary_key=True),
        sa.Column("name", sa.String(200), primary_key=True),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("media_type", sa.String(100), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size_bytes", sa.Integer, nullable=False),
        sa.Column("added_at", sa.String(32), nullable=False),
        sa.Column("added_by", sa.Text, nullable=False),
        sa.Column("removed_at", sa.String(32)),
    )
    op.create_index("ix_files_sha256", "files", ["sha256"])


def _papers() -> None:
    op.create_table(
        "papers",
        sa.Column("case_key", sa.String(32), sa.ForeignKey("cases.key"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("issued_at", sa.String(32), nullable=False),
        sa.Column("issued_by", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("facts_sha256", sa.String(64), nullable=False),
        sa.Column("program", sa.Text, nullable=False),
        sa.Column("pdf_sha256", sa.String(64), nullable=False),
        sa.Column("json_sha256", sa.String(64), nullable=False),
    )


def _drafts() -> None:
    op.create_table(
        "drafts",
        sa.Column("case_key", sa.String(32), sa.ForeignKey("cases.key"), primary_key=True),
        sa.Column("page", sa.String(40), primary_key=True),
        sa.Column("who", sa.String(80), primary_key=True),
        sa.Column("saved_at", sa.String(32), nullable=False),
        sa.Column("based_on", sa.Integer, nullable=False),
        sa.Column("answers", sa.Text, nullable=False),
    )
