"""What is erased is gone: from the tables, the spool, and the bytes of SQLite's files."""

import pytest
from sqlalchemy import func, select

from ellwand.errors import ServiceProblem
from ellwand.settings import Settings
from ellwand.store import answers, jobs, sittings
from ellwand.store.answers import Answer, Request
from ellwand.store.engine import Store
from ellwand.store.erasing import ARRIVING_S, clean, erase, photo_name, sweep
from ellwand.store.tables import AnswerRow, JobRow, SittingRow

from .kept import DAYS, Clock, claimed, job, seal_of, sitting


def rows(store: Store) -> dict[str, int]:
    """How many rows there are of what belongs to sittings."""
    with store.reading() as session:
        return {
            table.__tablename__: session.scalar(select(func.count()).select_from(table)) or 0
            for table in (SittingRow, JobRow, AnswerRow)
        }


def spooled(settings: Settings) -> set[str]:
    """Names of the photos that wait."""
    return {path.name for path in settings.spool.iterdir()}


def full(store: Store, label: str) -> str:
    """A sitting with a job, photos, an answer, and a change after all that."""
    kept = sitting(store, label)
    job(store, kept)
    with sittings.changing(store, kept, DAYS) as change:
        change.record = change.record.model_copy(update={"unit": "in"})
        seal = change.held.seal
        request = Request(f"key of {label}", b"POST photos")
        answers.note_answer(store, change.session, seal, request, Answer(202, b"{}"))
    return kept


def sealed_bytes(store: Store, kept: str) -> list[bytes]:
    """All that the database holds of a sitting, as it lies there."""
    with store.reading() as session:
        row = session.get_one(SittingRow, kept)
        job_row = session.scalars(select(JobRow).where(JobRow.sitting_id == kept)).one()
        answer = session.scalars(select(AnswerRow).where(AnswerRow.owner_id == kept)).one()
        return [kept.encode(), row.wrapped_key, row.terms, row.record,
                job_row.id.encode(), job_row.task, answer.body]  # fmt: skip


def on_disk(settings: Settings) -> bytes:
    """All bytes of the database's files and of the spool."""
    files = [path for path in settings.data.rglob("*") if path.is_file()]
    return b"".join(path.read_bytes() for path in files)


def test_nothing_of_an_erased_sitting_is_left_and_others_stay(
    store: Store, settings: Settings
) -> None:
    gone, stays = full(store, "gone"), full(store, "stays")
    erase(store, [gone])
    assert rows(store) == {"sittings": 1, "jobs": 1, "answers": 1}
    assert len(spooled(settings)) == 2
    with store.reading() as session:
        with pytest.raises(ServiceProblem) as caught:
            sittings.held(store, session, gone)
        assert caught.value.code == "no-such-sitting"
        assert sittings.seal_of(store, session, gone) is None
        assert sittings.held(store, session, stays).terms.label == "stays"
    erase(store, [])


@pytest.mark.parametrize("settings", ["sqlite"], indirect=True)
def test_no_byte_of_an_erased_sitting_is_left_in_a_file(store: Store, settings: Settings) -> None:
    gone, stays = full(store, "gone"), full(store, "stays")
    # Older pages lie in the write-ahead log, and in the file after a checkpoint.
    for unit in ("cm", "in", "cm"):
        with sittings.changing(store, gone, DAYS) as change:
            change.record = change.record.model_copy(update={"unit": unit})
    before = sealed_bytes(store, gone)
    clean(store)
    with sittings.changing(store, gone, DAYS) as change:
        change.record = change.record.model_copy(update={"unit": "in"})
    looked_for = {*before, *sealed_bytes(store, gone)}
    lies_there = [part for part in looked_for if part in on_disk(settings)]
    assert len(lies_there) >= len(before)
    erase(store, [gone])
    left = on_disk(settings)
    assert [part for part in looked_for if part in left] == []
    assert all(part in left for part in sealed_bytes(store, stays))


def test_a_sitting_is_erased_when_its_time_is_over(store: Store, clock: Clock) -> None:
    full(store, "old")
    clock.now += 20 * 86_400
    young = full(store, "young")
    assert sweep(store, 60) == 0
    clock.now += 11 * 86_400
    assert sweep(store, 60) == 1
    with store.reading() as session:
        assert list(session.scalars(select(SittingRow.id))) == [young]


def test_old_answers_are_forgotten(store: Store, clock: Clock) -> None:
    full(store, "one")
    clock.now += answers.KEPT_S + 1
    sweep(store, 60)
    assert rows(store) == {"sittings": 1, "jobs": 1, "answers": 0}


def test_photos_without_a_job_that_waits_are_removed(
    store: Store, settings: Settings, clock: Clock
) -> None:
    kept = sitting(store)
    waiting = job(store, kept)
    for name in ("lost.front", photo_name(jobs.new_job_id(), "side")):
        (settings.spool / name).write_bytes(b"sealed")
    sweep(store, 60)
    assert len(spooled(settings)) == 4
    clock.now += ARRIVING_S + 1
    sweep(store, 60)
    assert spooled(settings) == {photo_name(waiting, view) for view in ("front", "side")}
    mine = claimed(store, kept, waiting)
    assert mine is not None
    with store.writing() as session:
        jobs.end(session, mine, seal_of(store, kept), "done", {})
    sweep(store, 60)
    assert spooled(settings) == set()


def test_photos_that_wait_too_long_are_removed_unread(
    store: Store, settings: Settings, clock: Clock
) -> None:
    job(store, sitting(store))
    clock.now += 60 * 60 + 1
    sweep(store, 60)
    assert spooled(settings) == set()


def test_the_same_key_gives_the_same_answer_and_for_another_request_none(store: Store) -> None:
    kept = full(store, "one")
    seal = seal_of(store, kept)
    with store.writing() as session:
        known = answers.answered(session, seal, Request("key of one", b"POST photos"))
        assert known == Answer(202, b"{}")
        assert answers.answered(session, seal, Request("another", b"POST photos")) is None
        with pytest.raises(ServiceProblem) as caught:
            answers.answered(session, seal, Request("key of one", b"POST readings"))
    assert caught.value.code == "key-used-otherwise"


@pytest.mark.parametrize("settings", ["sqlite"], indirect=True)
def test_files_of_the_store_are_for_their_owner_only(store: Store, settings: Settings) -> None:
    full(store, "one")
    open_to_others = [
        path for path in [settings.data, *settings.data.rglob("*")] if path.stat().st_mode & 0o077
    ]
    assert open_to_others == []
