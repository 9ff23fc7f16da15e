"""A job is done by one process at a time, and by another one when the first is lost."""

import threading

import pytest

from ellwand.errors import ServiceProblem
from ellwand.store import jobs
from ellwand.store.engine import Store

from .kept import Clock, claimed, job, mail_job, seal_of, sitting, state


def test_a_job_is_queued_then_runs_then_ends_with_its_outcome(store: Store) -> None:
    kept = sitting(store)
    job_id = job(store, kept)
    assert state(store, kept, job_id).status == "queued"
    mine = claimed(store, kept, job_id)
    assert mine is not None
    assert (mine.attempt, mine.kind, mine.sitting_id) == (1, "estimate", kept)
    assert mine.task["setup"]["reference"] == "marker-sheets"  # type: ignore[index,call-overload]
    assert state(store, kept, job_id).status == "running"
    with store.writing() as session:
        assert jobs.end(session, mine, seal_of(store, kept), "done", {"found": 1})
        assert not jobs.end(session, mine, seal_of(store, kept), "failed", {})
    ended = state(store, kept, job_id)
    assert (ended.status, ended.outcome, ended.ended) == ("done", {"found": 1}, True)
    assert claimed(store, kept, job_id) is None


def test_of_claims_at_once_one_wins(store: Store) -> None:
    kept = sitting(store)
    job_id = job(store, kept)
    barrier = threading.Barrier(8)
    won: list[int] = []

    def claim() -> None:
        barrier.wait()
        mine = claimed(store, kept, job_id)
        if mine is not None:
            won.append(mine.attempt)

    threads = [threading.Thread(target=claim) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert won == [1]


def test_a_lost_job_is_due_and_claimed_again_but_not_a_renewed_one(
    store: Store, clock: Clock
) -> None:
    kept = sitting(store)
    job_id = job(store, kept)
    first = claimed(store, kept, job_id)
    assert first is not None
    clock.now += store.lease_s - 1
    jobs.renew(store, [job_id])
    jobs.renew(store, [])
    clock.now += store.lease_s - 1
    assert jobs.due(store) == []
    assert claimed(store, kept, job_id) is None
    clock.now += 2
    assert jobs.due(store) == [job_id]
    second = claimed(store, kept, job_id)
    assert second is not None
    assert second.attempt == 2
    # The first process comes back; it has nothing to say any more.
    with store.writing() as session:
        assert not jobs.end(session, first, seal_of(store, kept), "done", {})
        jobs.put_back(store, session, first, 0)
    assert state(store, kept, job_id).status == "running"
    with store.writing() as session:
        assert jobs.end(session, second, seal_of(store, kept), "done", {})


def test_a_job_that_nobody_heard_of_is_due_once_in_a_while(store: Store, clock: Clock) -> None:
    job_id = job(store, sitting(store))
    assert jobs.due(store) == []
    clock.now += store.lease_s + 1
    assert jobs.due(store) == [job_id]
    assert jobs.due(store) == []
    clock.now += store.lease_s + 1
    assert jobs.due(store) == [job_id]


@pytest.mark.parametrize(("counted", "attempt"), [(True, 2), (False, 1)])
def test_a_job_that_was_put_back_is_due_when_its_wait_is_over(
    store: Store, clock: Clock, counted: bool, attempt: int
) -> None:
    kept = sitting(store)
    job_id = job(store, kept)
    mine = claimed(store, kept, job_id)
    assert mine is not None
    with store.writing() as session:
        jobs.put_back(store, session, mine, 60, counted)
    clock.now += 59
    assert jobs.due(store) == []
    clock.now += 2
    assert jobs.due(store) == [job_id]
    again = claimed(store, kept, job_id)
    assert again is not None
    assert again.attempt == attempt


def test_a_sitting_has_one_job_of_a_kind_under_way(store: Store) -> None:
    kept = sitting(store)
    job_id = job(store, kept)
    with pytest.raises(ServiceProblem) as caught:
        job(store, kept)
    assert caught.value.code == "under-way"
    other = mail_job(store, kept)
    with store.reading() as session:
        seal = seal_of(store, kept)
        last = jobs.latest(session, seal, "estimate"), jobs.latest(session, seal, "mail")
        assert [one.id for one in last if one] == [job_id, other]
        assert jobs.owner_of(session, job_id) == kept
        assert jobs.owner_of(session, "none") is None


def test_too_many_jobs_are_turned_away(store: Store) -> None:
    job(store, sitting(store))
    with store.reading() as session:
        jobs.check_room(session, 2)
        with pytest.raises(ServiceProblem) as caught:
            jobs.check_room(session, 1)
    assert (caught.value.code, caught.value.http_status) == ("busy", 503)
    assert caught.value.retry_after_s == 30


def test_a_job_is_seen_by_its_sitting_alone(store: Store) -> None:
    job_id = job(store, sitting(store))
    with pytest.raises(ServiceProblem) as caught:
        state(store, sitting(store, "another"), job_id)
    assert caught.value.code == "no-such-job"
