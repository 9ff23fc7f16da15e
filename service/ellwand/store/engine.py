"""The database: SQLite in the data folder, or PostgreSQL; and how a transaction begins."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, event, make_url, text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry

from ellwand.errors import ServiceProblem
from ellwand.settings import DATABASE_FILE, Settings
from ellwand.store.sealing import ServerKey, server_key
from ellwand.store.spool import Spool

LOCK_WAIT_S = 20
# A web process has up to 40 threads (anyio); each holds one connection while it works.
CONNECTIONS = 48
# PostgreSQL advisory lock of those who migrate: any number that nobody else takes.
_MIGRATION_LOCK = 0x656C6C


@dataclass(frozen=True, eq=False)
class Store:
    """Everything that is kept.

    Args:
        engine: the database.
        key: the server's key.
        spool: photos that wait for their job.
        now: the time, seconds since 1970.
        lease_s: a job whose process has not been heard of for so long is begun again; one that
            was announced and not heard of, announced again.
    """

    engine: Engine
    key: ServerKey
    spool: Spool
    now: Callable[[], float] = field(default=time.time)
    lease_s: float = 20.0

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A transaction that changes something: all of it, or nothing when the body raises."""
        with Session(self.engine.execution_options(writes=True)) as session, session.begin():
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A transaction that only looks."""
        with Session(self.engine) as session:
            yield session

    @property
    def is_sqlite(self) -> bool:
        """Whether the database is a file of our own."""
        return self.engine.dialect.name == "sqlite"

    def is_current(self, session: Session) -> bool:
        """Whether the tables are those of this version."""
        found = MigrationContext.configure(session.connection()).get_current_revision()
        return found == ScriptDirectory.from_config(_alembic()).get_current_head()

    def migrate(self) -> None:
        """Bring the tables to what this version knows; processes that start at once wait.

        Raises:
            ServiceProblem: the database does not answer.
        """
        try:
            self._migrate()
        except DatabaseError:
            raise ServiceProblem(
                "database-away",
                "The database does not answer, or is none of ours.",
                "See that it runs and that ELLWAND_DATABASE_URL leads to it.",
                500,
            ) from None

    def _migrate(self) -> None:
        with self.engine.execution_options(writes=True).begin() as connection:
            if not self.is_sqlite:
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_MIGRATION_LOCK})"))
            config = _alembic()
            config.attributes["connection"] = connection
            command.upgrade(config, "head")


def open_store(settings: Settings, now: Callable[[], float] = time.time) -> Store:
    """Open the data folder, which is made for its owner only; tables are not touched.

    Raises:
        ServiceProblem: the folder or the server's key cannot be used.
    """
    try:
        settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not settings.database_url:
            # SQLite gives its other files the rights of the first.
            (settings.data / DATABASE_FILE).touch(mode=0o600)
    except OSError:
        raise ServiceProblem(
            "data-folder-unusable",
            "The data folder cannot be made or written.",
            "Name another one with --data or ELLWAND_DATA, or see that you may write there.",
            500,
        ) from None
    secret = settings.server_key
    key = server_key(secret.get_secret_value() if secret else None, settings.data / "server.key")
    return Store(_engine(settings.database), key, Spool(settings.spool), now, settings.lease_s)


def _alembic() -> Config:
    config = Config()
    config.set_main_option("script_location", "ellwand.store:migrations")
    return config


def _engine(url: str) -> Engine:
    made = make_url(url)
    if made.drivername == "postgresql":
        made = made.set(drivername="postgresql+psycopg")
    engine = create_engine(
        made,
        pool_size=CONNECTIONS,
        max_overflow=0,
        pool_pre_ping=not made.drivername.startswith("sqlite"),
    )
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, _: ConnectionPoolEntry) -> None:
    # The driver's own notion of transactions is switched off; see _begin_sqlite.
    connection.isolation_level = None
    connection.execute(f"PRAGMA busy_timeout = {LOCK_WAIT_S * 1000}")
    _log_ahead(connection)
    for pragma in (
        "synchronous = FULL",
        "foreign_keys = ON",
        # What is deleted is overwritten.
        "secure_delete = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _log_ahead(connection: sqlite3.Connection) -> None:
    """Have the file write ahead, which the first to open it brings about for good."""
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY:
                raise
        # That does not wait for others who open the file at the same time; taking the lock does.
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("COMMIT")


def _begin_sqlite(connection: Any) -> None:
    # Who will write takes the lock at once; two who read first and then write would both fail.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
