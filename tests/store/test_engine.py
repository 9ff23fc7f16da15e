"""Tables are made by migrations alone, and transactions are whole or nothing."""

import threading
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from sqlalchemy import inspect, text

from ellwand.errors import ServiceProblem
from ellwand.settings import Settings
from ellwand.store import sittings
from ellwand.store.engine import Store, open_store
from ellwand.store.tables import Base, SittingRow

from ..servers import postgresql
from .kept import DAYS, sitting


@pytest.fixture(params=["sqlite", "postgresql"])
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    """Settings of a database without tables."""
    url = postgresql(empty=True) if request.param == "postgresql" else ""
    return Settings(data=tmp_path / "data", database_url=url)


def test_migrations_make_the_tables_that_the_code_knows(empty: Settings) -> None:
    store = open_store(empty)
    store.migrate()
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        found = set(inspect(connection).get_table_names())
    assert found == {*Base.metadata.tables, "alembic_version"}
    store.migrate()
    store.engine.dispose()


def test_tables_of_the_first_version_are_changed_and_keep_their_rows(empty: Settings) -> None:
    store = open_store(empty)
    with store.engine.execution_options(writes=True).begin() as connection:
        config = Config()
        config.set_main_option("script_location", "ellwand.store:migrations")
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        for row in (
            "INSERT INTO workrooms VALUES ('w', :some, 'none', :some, :some, 1.5)",
            "INSERT INTO sittings (id, workroom_id, wrapped_key, terms, record, created_at, "
            "erase_at, consent_at) VALUES ('s', 'w', :some, :some, :some, 1.5, 2.5, 1.75)",
        ):
            connection.execute(text(row), {"some": b"some"})
    store.migrate()
    with store.reading() as session:
        assert store.is_current(session)
        row = session.get_one(SittingRow, "s")
        assert (row.consent_at, row.outline_at, row.record) == (1.75, None, b"some")
    store.engine.dispose()


def test_processes_that_start_at_once_make_the_tables_once(empty: Settings) -> None:
    stores = [open_store(empty) for _ in range(4)]
    failed: list[BaseException] = []

    def migrate(store: Store) -> None:
        try:
            store.migrate()
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=migrate, args=(store,)) for store in stores]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for store in stores:
        store.engine.dispose()
    assert failed == []


def test_a_transaction_that_fails_leaves_nothing(store: Store) -> None:
    kept = sitting(store)
    with pytest.raises(ZeroDivisionError), sittings.changing(store, kept, DAYS) as change:
        change.record = change.record.model_copy(update={"unit": "in"})
        raise ZeroDivisionError
    with store.reading() as session:
        assert sittings.held(store, session, kept).record.unit == "cm"


def test_two_changes_at_once_are_one_after_the_other(store: Store) -> None:
    kept = sitting(store)
    barrier = threading.Barrier(6)

    def keep(number: int) -> None:
        barrier.wait()
        with sittings.changing(store, kept, DAYS) as change:
            names = [*change.record.readings, f"m{number}"]
            change.record = change.record.model_copy(update={"readings": dict.fromkeys(names, ())})

    threads = [threading.Thread(target=keep, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as session:
        held = sittings.held(store, session, kept)
    assert sorted(held.record.readings) == [f"m{number}" for number in range(6)]


def test_sqlite_is_set_up_to_last_and_to_overwrite(tmp_path: Path) -> None:
    store = open_store(Settings(data=tmp_path / "data"))
    with store.engine.connect() as connection:
        found = {
            name: connection.execute(text(f"PRAGMA {name}")).scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "secure_delete")
        }
    store.engine.dispose()
    assert found == {
        "journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "secure_delete": 1,
    }  # fmt: skip


def test_a_database_that_is_away_is_told_plainly(tmp_path: Path) -> None:
    url = f"postgresql://nobody:secret@/none?host={tmp_path}"
    store = open_store(Settings(data=tmp_path / "data", database_url=url))
    with pytest.raises(ServiceProblem) as caught:
        store.migrate()
    assert caught.value.code == "database-away"
    assert "secret" not in str(caught.value)
    store.engine.dispose()


def test_a_folder_that_is_a_file_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file")
    with pytest.raises(ServiceProblem) as caught:
        open_store(Settings(data=tmp_path / "data"))
    assert caught.value.code == "data-folder-unusable"
