"""The database is made, checked, and refused in words if it cannot be used."""

from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import insert, text

from thumbwright.storage.database import Database, schema_version
from thumbwright.storage.records import StoreError
from thumbwright.storage.tables import cases, metadata


def test_the_migrations_make_what_the_tables_say(tmp_path: Path) -> None:
    database = Database(tmp_path / "cases.db")
    with database.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
        assert schema_version(connection) == "0001"
    database.close()


def test_it_is_in_write_ahead_mode_and_checks_references(tmp_path: Path) -> None:
    database = Database(tmp_path / "cases.db")
    with database.reading() as connection:
        answers = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "foreign_keys", "synchronous")
        ]
    database.close()
    sqlite_full = 2
    assert answers == ["wal", 1, sqlite_full]


def test_a_file_that_is_no_database_is_refused_in_words(tmp_path: Path) -> None:
    place = tmp_path / "cases.db"
    place.write_bytes(b"this is not a database, but long enough to be looked at" * 40)
    with pytest.raises(StoreError, match="restore the last backup"):
        Database(place)


def test_a_database_of_a_newer_program_is_refused_in_words(tmp_path: Path) -> None:
    place = tmp_path / "cases.db"
    database = Database(place)
    with database.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    database.close()
    with pytest.raises(StoreError, match="newer program"):
        Database(place)


def test_what_fails_half_way_is_not_kept(tmp_path: Path) -> None:
    database = Database(tmp_path / "cases.db")
    row = {
        "key": "k",
        "name": "n",
        "summary": "s",
        "version": 0,
        "created_at": "",
        "changed_at": "",
    }

    def write_and_fail() -> None:
        with database.writing() as connection:
            connection.execute(insert(cases).values(row))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    with database.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM cases")).scalar() == 0
    database.close()
