"""Erasing for good: the key, everything sealed with it, its photos, and its traces in the file."""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, delete, select, text

from ellwand.store.answers import forget_old_answers
from ellwand.store.engine import Store
from ellwand.store.jobs import UNFINISHED
from ellwand.store.tables import AnswerRow, JobRow, SittingRow

VIEWS = ("front", "side")
# The slowest upload that is taken, and some more (judged).
ARRIVING_S = 1_800.0


def photo_name(job_id: str, view: str) -> str:
    """Name of a waiting photo in the spool."""
    return f"{job_id}.{view}"


def discard_photos(store: Store, job_ids: Iterable[str]) -> None:
    """Remove the photos of jobs."""
    for job_id in job_ids:
        for view in VIEWS:
            store.spool.discard(photo_name(job_id, view))


def erase(store: Store, sitting_ids: list[str]) -> None:
    """Erase sittings with everything that belongs to them."""
    if sitting_ids:
        _erase_where(store, SittingRow.id.in_(sitting_ids))
        clean(store)


def _erase_where(store: Store, which: ColumnElement[bool]) -> int:
    """Erase sittings and tell how many; what is left of them in files stays to be cleaned."""
    with store.writing() as session:
        # Held until they are gone: who changes one at this moment comes before, or finds nothing.
        gone = list(session.scalars(select(SittingRow.id).where(which).with_for_update()))
        jobs = list(session.scalars(select(JobRow.id).where(JobRow.sitting_id.in_(gone))))
        session.execute(delete(AnswerRow).where(AnswerRow.owner_id.in_(gone)))
        session.execute(delete(SittingRow).where(SittingRow.id.in_(gone)))
    discard_photos(store, jobs)
    return len(gone)


def clean(store: Store) -> None:
    """Take what was deleted out of the database's files.

    SQLite overwrites what is deleted (secure_delete); its write-ahead log still holds older pages
    until it is emptied. PostgreSQL frees the rows; its pages and its own log keep the old bytes,
    wrapped key and all, until they are used again.
    """
    if store.is_sqlite:
        # Outside any transaction; the pool's own connection object begins none.
        raw = store.engine.raw_connection()
        try:
            raw.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            raw.close()
    else:
        engine = store.engine.execution_options(isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text("VACUUM sittings, jobs, answers"))


def sweep(store: Store, spool_minutes: float) -> int:
    """Erase what has been kept long enough, and photos that nobody waits for.

    Args:
        store: where.
        spool_minutes: how long photos may wait.

    Returns:
        How many sittings were erased.
    """
    with store.writing() as session:
        forget_old_answers(store, session)
    erased = _erase_where(store, SittingRow.erase_at < store.now())
    clean(store)
    _sweep_spool(store, spool_minutes)
    return erased


def _sweep_spool(store: Store, minutes: float) -> None:
    """Remove photos whose job has ended, and those that waited too long."""
    with store.reading() as session:
        waiting = set(session.scalars(select(JobRow.id).where(JobRow.status.in_(UNFINISHED))))
    too_old = set(store.spool.names_before(store.now() - minutes * 60))
    for name in store.spool.names_before(store.now() - ARRIVING_S):
        if name in too_old or name.partition(".")[0] not in waiting:
            store.spool.discard(name)
