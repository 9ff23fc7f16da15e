"""Customers of two workrooms do everything in any order: nothing is lost, seen or decided wrongly.

What must hold is kept beside the service in a model that knows only what was accepted.
"""

import os
from itertools import pairwise
from shutil import rmtree
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    consumes,
    initialize,
    invariant,
    multiple,
    precondition,
    rule,
)

from ellwand.errors import ServiceProblem
from ellwand.sitting import with_entry
from ellwand.sitting.record import FindingsEntry
from ellwand.store import erasing, jobs, sittings
from ellwand.tape import MeasuredBy, Worn
from tests.api.beside import ROOMS, Beside, Mine, Sent
from tests.api.measured import REFUSED, TYPED, findings, grey_pair
from tests.service import BASE, Service, read_all

RUNS = int(os.environ.get("ELLWAND_ORDERS", "14"))
HOUR_S, DAY_S, LOST_ANSWER_S = 3600.0, 86_400.0, 600.0
# Whole centimetres that fit each other; the decimals tell whose they are.
SOUND = {"stature": 168, "high_bust": 88, "full_bust": 94, "waist": 74, "full_hip": 99}
SILLY = ("eighty", "", "1,000", "9" * 30, "-5", "92.5 kg", "\u0000", "\ud7ff", "1e3")
NEEDED = ("stature", "high_bust", "full_bust")

codes = st.sampled_from(sorted(SOUND))
mostly = st.sampled_from([True, True, True, False])


class AnyOrder(Beside):
    """A service with two workrooms."""

    mine: Bundle[Mine] = Bundle("mine")
    sent: Bundle[Sent] = Bundle("sent")

    @initialize(target=mine)
    def begin(self) -> Any:
        """Both workrooms log in, and three customers have begun."""
        self.log_in()

        rooms = ("loft", "loft", "yard")
        return multiple(*(self.invite(room, again=False, opened=True) for room in rooms))

    def teardown(self) -> None:
        """Look at everything once more."""
        for one in self.all:
            self.touched = one
            self.nothing_is_lost_and_nothing_else_is_seen()
        self.check_lists()
        self.service.close()
        rmtree(self.folder)

    # Rules of the workroom.

    @precondition(lambda self: len([one for one in self.all if not one.gone]) < 4)
    @rule(target=mine, room=st.sampled_from(ROOMS), again=st.booleans(), opened=mostly)
    def invite(self, room: str, again: bool, opened: bool) -> Mine:
        """A customer is invited; the request may arrive twice."""
        number = len(self.all) + 1
        terms = {"label": f"label-{number}x", "address": f"cards-{number}x@loft.example"}
        headers = {"Idempotency-Key": self.new_key()}
        path = f"{BASE}/workroom/invitations"
        answers = [
            self.rooms[room].post(path, json=terms, headers=headers) for _ in range(1 + again)
        ]
        assert {one.status_code for one in answers} == {201}
        assert len({one.content for one in answers}) == 1
        made = answers[0].json()
        token = made["link"].partition("#")[2]
        one = Mine(number, room, made["id"], token, made["link_ends_at"])
        one.words = {terms["label"], terms["address"], token, one.id, f"because-{number}x"}
        self.all.append(one)
        if opened:
            self.open_link(one)
            self.consent(one)
        return one

    @rule(one=mine)
    def renew_link(self, one: Mine) -> None:
        """A new link takes the place of the old one; who is in stays in."""
        self.touched = one
        path = f"{BASE}/workroom/invitations/{one.id}/link"
        answer = self.checked(self.room_of(one).post(path), [one])
        assert answer.status_code == (404 if one.gone else 201)
        if not one.gone:
            one.token = answer.json()["link"].partition("#")[2]
            one.link_ends, one.opened_at = answer.json()["link_ends_at"], None
            one.words.add(one.token)

    @rule(one=mine, returns=mostly)
    def end_link(self, one: Mine, returns: bool) -> None:
        """The link and the browser that is in are locked out."""
        self.touched = one
        path = f"{BASE}/workroom/invitations/{one.id}/link"
        assert self.room_of(one).delete(path).status_code == (404 if one.gone else 204)
        if not one.gone:
            one.token = None
            self.ask_no_more(one)
        if returns:
            self.come_back(one)

    def ask_no_more(self, one: Mine) -> None:
        """The browser that was in is told so."""
        if one.browser is not None:
            assert one.browser.get(f"{BASE}/sitting").status_code == 401
        one.browser = None

    @rule(one=consumes(mine))
    def workroom_erases(self, one: Mine) -> None:
        """The workroom erases a sitting."""
        self.touched = one
        path = f"{BASE}/workroom/sittings/{one.id}"
        assert self.room_of(one).delete(path).status_code == (404 if one.gone else 204)
        self.forget(one)

    @rule(one=mine)
    def other_workroom_meddles(self, one: Mine) -> None:
        """The other workroom sees and changes nothing."""
        self.touched = one
        (other,) = [name for name in ROOMS if name != one.room]
        for method, path in (
            ("GET", f"sittings/{one.id}"), ("GET", f"sittings/{one.id}/card.json"),
            ("DELETE", f"sittings/{one.id}"), ("POST", f"invitations/{one.id}/link"),
            ("DELETE", f"invitations/{one.id}/link"),
        ):  # fmt: skip
            answer = self.rooms[other].request(method, f"{BASE}/workroom/{path}")
            assert self.checked(answer, []).status_code == 404

    # Rules of the customer.

    @rule(one=mine)
    def open_link(self, one: Mine) -> None:
        """A link is opened: once, by one browser."""
        self.touched = one
        token = one.token or "no-such-token-at-all-in-here"
        visitor, key = self.service.client(), self.new_key()
        sent = {"headers": {"Idempotency-Key": key}, "json": {"token": token}}
        answer = self.checked(visitor.post(f"{BASE}/entrance", **sent), [one])
        over = one.token is None or one.link_ends < self.service.clock.now
        expected = 404 if over else 410 if one.opened_at is not None else 200
        assert answer.status_code == expected
        if expected == 200:
            before, one.browser = one.browser, visitor
            one.key, one.opened_at = key, self.service.clock.now
            if before is not None:
                assert before.get(f"{BASE}/sitting").status_code == 401

    @rule(one=mine)
    def come_back(self, one: Mine) -> None:
        """Who is locked out asks for a new link and opens it."""
        if one.browser is None and not one.gone:
            self.renew_link(one)
            self.open_link(one)

    @rule(one=mine)
    def open_link_again_because_the_answer_was_lost(self, one: Mine) -> None:
        """The same request within ten minutes is let in; the browser before is out."""
        if one.token is None or one.opened_at is None or one.link_ends < self.service.clock.now:
            return
        self.touched = one
        visitor = self.service.client()
        sent = {"headers": {"Idempotency-Key": one.key}, "json": {"token": one.token}}
        answer = self.checked(visitor.post(f"{BASE}/entrance", **sent), [one])
        soon = self.service.clock.now < one.opened_at + LOST_ANSWER_S
        assert answer.status_code == (200 if soon else 410)
        if soon:
            one.browser = visitor

    @rule(wrong=st.text("abcXYZ019-_", min_size=20, max_size=100))
    def open_a_wrong_link(self, wrong: str) -> None:
        """A guess opens nothing."""
        answer = self.service.client().post(f"{BASE}/entrance", json={"token": wrong})
        assert self.checked(answer, []).status_code == 404

    @rule(one=mine)
    def consent(self, one: Mine) -> None:
        """She states her age and agrees."""
        if self.ask(one, "POST", "/consent", json={"adult": True, "photos": True}).is_success:
            one.consented = True

    @rule(one=mine, unit=st.sampled_from(["cm", "in"]))
    def choose_unit(self, one: Mine, unit: str) -> None:
        """She chooses a unit; what was typed stays."""
        self.ask(one, "PUT", "/unit", json={"unit": unit})

    @rule(
        one=mine,
        measured_by=st.sampled_from(get_args(MeasuredBy)),
        worn=st.sampled_from(get_args(Worn)),
    )
    def choose_taking(self, one: Mine, measured_by: str, worn: str) -> None:
        """She says how she measures; what was read in before stays as it was taken."""
        before = self.ask(one, "GET", "").json().get("record", {}).get("readings")
        answer = self.ask(one, "PUT", "/taking", json={"measured_by": measured_by, "worn": worn})
        if answer.is_success:
            assert answer.json()["record"]["readings"] == before

    @rule(
        target=sent,
        one=mine,
        code=codes,
        shifts=st.lists(st.sampled_from([0, 0, 0, 1, -30, 200]), min_size=1, max_size=3),
        silly=st.one_of(st.none(), st.none(), st.sampled_from(SILLY)),
        instead=st.booleans(),
        unit=st.sampled_from([" cm", "", " in"]),
    )
    def read(
        self,
        one: Mine,
        code: str,
        shifts: list[int],
        silly: str | None,
        instead: bool,
        unit: str,
    ) -> Any:
        """She types readings: sound ones, doubtful ones, and now and then one that is no length."""
        entries = [f"{SOUND[code] + shift}.{one.number}{unit}" for shift in shifts]
        if silly is not None:
            entries.append(silly)
        body = {"code": code, "entries": entries, "instead": instead}
        key = self.new_key()
        headers = {"Idempotency-Key": key}
        answer = self.ask(one, "POST", "/readings", json=body, headers=headers)
        if not answer.is_success:
            assert silly is not None or answer.status_code in (401, 404)
            return multiple()
        assert silly is None
        one.raws.setdefault(code, []).extend(entries)
        return Sent(
            one, "POST", "/readings", body, key, self.service.clock.now, 201, answer.content
        )

    @rule(one=mine)
    def read_all_that_is_needed(self, one: Mine) -> None:
        """She tapes everything twice, and all of it is sound."""
        for code, value in SOUND.items():
            entries = [f"{value}.{one.number} cm"] * 2
            body = {"code": code, "entries": entries, "instead": True}
            if self.ask(one, "POST", "/readings", json=body).is_success:
                one.raws.setdefault(code, []).extend(entries)

    @rule(target=sent, one=mine, data=st.data())
    def keep(self, one: Mine, data: Any) -> Any:
        """She keeps a value for a reason."""
        code = data.draw(st.sampled_from(sorted(one.raws) or ["waist"]))
        body, key = {"code": code, "reason": f"because-{one.number}x"}, self.new_key()
        answer = self.ask(one, "POST", "/keeps", json=body, headers={"Idempotency-Key": key})
        if not answer.is_success:
            assert answer.status_code in (401, 404, 422)
            return multiple()
        assert one.raws[code], "something was kept that was never read"
        one.kept[code] = len(one.raws[code])
        return Sent(one, "POST", "/keeps", body, key, self.service.clock.now, 201, answer.content)

    @rule(one=mine, ready=st.booleans())
    def decide(self, one: Mine, ready: bool) -> None:
        """A size is decided on a bust and a height that were repeated or kept, or not at all."""
        if ready:
            self.read_all_that_is_needed(one)
        answer = self.ask(one, "POST", "/decision", json={})
        if answer.is_success:
            self.check_decided(one)
        else:
            assert answer.status_code in (401, 404, 422)

    @rule(one=mine, code=st.sampled_from(["high_bust", "full_bust"]), doubtful=st.booleans())
    def decide_on_an_unconfirmed_bust(self, one: Mine, code: str, doubtful: bool) -> None:
        """All is confirmed but one girth of the bust: nothing is decided."""
        self.read_all_that_is_needed(one)
        entries = [f"{SOUND[code] + 300}.{one.number} cm"] * 2 if doubtful else [
            f"{SOUND[code]}.{one.number} cm"
        ]  # fmt: skip
        body = {"code": code, "entries": entries, "instead": True}
        if self.ask(one, "POST", "/readings", json=body).is_success:
            one.raws[code].extend(entries)
        refused = self.ask(one, "POST", "/decision", json={})
        assert refused.status_code in (401, 404, 422)
        assert not self.ask(one, "GET", "/decision").is_success

    def check_decided(self, one: Mine) -> None:
        """What a decision rests on, once by the model and once by the record."""
        for code in NEEDED:
            raws = one.raws.get(code, [])
            kept = one.kept.get(code) == len(raws) > 0
            assert kept or len(raws) >= (1 if code == "stature" else 2), code
        held = self.ask(one, "GET", "").json()["record"]["measurements"]
        assert {held[code]["standing"] for code in NEEDED} <= {"confirmed", "kept"}

    @rule(one=mine)
    def send_photos(self, one: Mine) -> None:
        """She sends photos: after her consent, one pair at a time."""
        answer = self.ask(one, "POST", "/photos", files=grey_pair(), data=TYPED)
        if answer.is_success:
            assert one.consented
            assert one.job is None
            one.job = answer.json()["id"]
            one.words.add(one.job)
            self.take_typed_height(one)
        else:
            assert answer.status_code in (401, 404) or not one.consented or one.job is not None

    def take_typed_height(self, one: Mine) -> None:
        """The height for the photos is a reading, too, unless it is known already."""
        before = one.raws.get("stature", [])
        told = self.ask(one, "GET", "").json()["record"]["readings"].get("stature", [])
        now = [entry["raw"] for entry in told]
        assert now in (before, [*before, TYPED["stature"]])
        if now:
            one.raws["stature"] = now

    @precondition(lambda self: any(one.job for one in self.all))
    @rule(data=st.data(), ending=st.sampled_from(["done", "refused"]))
    def job_ends(self, data: Any, ending: jobs.Ending) -> None:
        """A worker ends the job, and what it found goes into the record as it is by then."""
        one = data.draw(st.sampled_from([one for one in self.all if one.job]))
        store = self.service.store
        outcome = findings() if ending == "done" else REFUSED
        with sittings.changing(store, one.id, 30) as change:
            claimed = jobs.claim(store, change.session, one.job, change.held.seal)
            assert claimed is not None
            if ending == "done":
                found = FindingsEntry.model_validate(findings())
                change.record = with_entry(change.record, found)
            jobs.end(change.session, claimed, change.held.seal, ending, outcome)
        erasing.discard_photos(store, [one.job])
        if one.browser is not None:
            answer = self.ask(one, "GET", f"/jobs/{one.job}/result")
            assert answer.status_code == (200 if ending == "done" else 422)
        one.job = None

    @precondition(lambda self: any(one.job for one in self.all))
    @rule()
    def ask_for_a_job_of_another(self) -> None:
        """A job's id opens nothing for anybody else."""
        for other in [one for one in self.all if one.job]:
            for one in self.all:
                for path in (f"/jobs/{other.job}", f"/jobs/{other.job}/result"):
                    expected = (401, 404) if one is not other else (200, 401, 409)
                    assert self.ask(one, "GET", path).status_code in expected

    @rule(one=consumes(mine))
    def erase(self, one: Mine) -> None:
        """She erases everything."""
        self.come_back(one)
        if self.ask(one, "DELETE", "").is_success:
            self.forget(one)

    @precondition(lambda self: any(one.gone for one in self.all))
    @rule(data=st.data())
    def ask_what_is_gone(self, data: Any) -> None:
        """What is erased answers nothing."""
        one = data.draw(st.sampled_from([one for one in self.all if one.gone]))
        for method, path, body in (
            ("GET", "/checks", None), ("GET", "/card.json", None), ("POST", "/decision", {}),
            ("POST", "/readings", {"code": "waist", "entries": ["74"]}), ("DELETE", "", None),
        ):  # fmt: skip
            assert self.ask(one, method, path, json=body).status_code in (401, 404)

    @rule(before=sent)
    def send_again(self, before: Sent) -> None:
        """A request that arrives once more changes nothing and is answered alike."""
        one = before.mine
        if self.service.clock.now - before.at >= DAY_S:
            return
        headers = {"Idempotency-Key": before.key}
        answer = self.ask(one, before.method, before.path, json=before.body, headers=headers)
        if one.browser is not None and not one.gone:
            assert (answer.status_code, answer.content) == (before.status, before.answer)

    @rule(before=consumes(sent))
    def send_another_with_the_same_key(self, before: Sent) -> None:
        """A key belongs to one request."""
        one = before.mine
        if self.service.clock.now - before.at >= DAY_S:
            return
        body, headers = {"code": "waist", "entries": ["1.5"]}, {"Idempotency-Key": before.key}
        answer = self.ask(one, "POST", "/readings", json=body, headers=headers)
        assert answer.status_code in (401, 404, 422)

    # Time.

    @rule(hours=st.sampled_from([0.1, 1, 20, 24 * 5, 24 * 16]), swept=st.booleans())
    def time_goes_by(self, hours: float, swept: bool) -> None:
        """What has been kept long enough is gone, swept or not."""
        ends = {line["id"]: line["erase_at"] for line in self.check_lists()}
        self.service.clock.now += hours * HOUR_S
        for one in self.all:
            if not one.gone and ends[one.id] < self.service.clock.now:
                self.forget(one)
        if swept:
            erasing.sweep(self.service.store, 60)
        self.check_lists()

    # What must hold after every step.

    @invariant()
    def nothing_is_lost_and_nothing_else_is_seen(self) -> None:
        """Readings stand as they were accepted, in order; what is erased never answers."""
        one = self.touched
        if one is None:
            return
        answer = self.ask(one, "GET", "")
        if answer.is_success:
            readings = answer.json()["record"]["readings"]
            told = {code: [entry["raw"] for entry in rows] for code, rows in readings.items()}
            assert {code: rows for code, rows in told.items() if rows} == one.raws
            if answer.json()["record"]["decision"] is not None:
                self.check_decided(one)
        else:
            assert one.gone or one.browser is None
        room = self.room_of(one)
        whole = room.get(f"{BASE}/workroom/sittings/{one.id}")
        assert self.checked(whole, [one]).status_code == (404 if one.gone else 200)


AnyOrder.TestCase.settings = settings(
    max_examples=RUNS,
    stateful_step_count=30,
    derandomize=True,
    database=None,
    # Making a run shorter takes minutes; as it is, each step is told.
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


class TestAnyOrder(AnyOrder.TestCase):  # type: ignore[name-defined, misc]
    """Whatever is done in whatever order."""


def test_a_sitting_whose_time_is_over_is_gone_before_anybody_sweeps(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    read_all(customer)
    link = workroom.post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
    service.clock.now += service.settings.keep_days * DAY_S + 1
    workroom = service.workroom()
    # Else a reading could be accepted that the sweep is about to erase.
    read = customer.post(f"{BASE}/sitting/readings", json={"code": "waist", "entries": ["74"]})
    assert (read.status_code, read.json()["code"]) == (401, "no-sitting-open")
    seen = workroom.get(f"{BASE}/workroom/sittings/{sitting_id}")
    assert (seen.status_code, seen.json()["code"]) == (404, "no-such-sitting-here")
    with (
        pytest.raises(ServiceProblem, match="erased"),
        sittings.changing(service.store, sitting_id, 30),
    ):
        pass
    token = link.partition("#")[2]
    late = service.client().post(f"{BASE}/entrance", json={"token": token})
    assert late.json()["code"] == "link-unknown"
    assert workroom.get(f"{BASE}/workroom/sittings").json() == []
    assert erasing.sweep(service.store, 60) == 2


def test_every_change_moves_the_day_of_erasing_on(service: Service) -> None:
    customer = service.customer(service.workroom(), consent=False)
    ends = [customer.get(f"{BASE}/sitting").json()["erase_at"]]
    for method, path, sent in (
        ("POST", "consent", {"adult": True, "photos": True}),
        ("PUT", "unit", {"unit": "in"}),
        ("POST", "readings", {"code": "waist", "entries": ["29 in"]}),
        ("POST", "keeps", {"code": "waist", "reason": "sure"}),
    ):
        service.clock.now += HOUR_S
        assert customer.request(method, f"{BASE}/sitting/{path}", json=sent).is_success
        ends.append(customer.get(f"{BASE}/sitting").json()["erase_at"])
    assert [later - one for one, later in pairwise(ends)] == [pytest.approx(HOUR_S)] * 4
