"""Nobody gets at what is another's: everybody asks every route with the ids of one victim."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import select

from ellwand.api import page
from ellwand.api.comparing import EXAMPLE
from ellwand.api.examples import block_file
from ellwand.language import LANGUAGES
from ellwand.language.pages import address_in
from ellwand.sitting import with_entry
from ellwand.sitting.record import FindingsEntry
from ellwand.store import sittings
from ellwand.store.tables import (
    AnswerRow,
    BlockRow,
    JobRow,
    SittingRow,
    WorkroomKeyRow,
    WorkroomRow,
)
from tests.api.measured import TYPED, findings, grey_pair
from tests.api.test_description import Operation, operations
from tests.api.test_photos import end_job
from tests.service import BASE, Service, begin, read_all

ROOM, SITTING = f"{BASE}/workroom", f"{BASE}/sitting"
TOML = {"Content-Type": "application/toml"}
# What is sent to a route that takes something, by the name of its operation. The victim's own ids
# are in every path; those who ask have none of them.
SENT: dict[str, dict[str, Any]] = {
    "sitting-consent": {"json": {"adult": True, "photos": True}},
    "sitting-choose_unit": {"json": {"unit": "in"}},
    "sitting-choose_language": {"json": {"language": "de"}},
    "sitting-choose_taking": {"json": {"measured_by": "somebody", "worn": "thick"}},
    "sitting-add_readings": {"json": {"code": "waist", "entries": ["80 cm"]}},
    "sitting-add_keep": {"json": {"code": "waist", "reason": "because"}},
    "sitting-decide_size": {"json": {}},
    "card-send": {"json": {"address": "canary@loft.example"}},
    "card-compare_card": {"json": {"card": EXAMPLE}},
    "card-choose_outline": {"json": {"on_card": False}},
    "photos-correct": {"json": {"undo": True}},
    "photos-send_photos": {"files": grey_pair(), "data": TYPED},
    "photos-check_photo": {"files": {"front": grey_pair()["front"]}, "data": TYPED},
    "photos-check_setup": {"json": {"stature": "1,65", "reference": "stature"}},
    "workroom-put_block": {"content": block_file(), "headers": TOML},
    "workroom-check_block": {"content": block_file(), "headers": TOML},
    "workroom-invite": {"json": {"label": "of another"}},
    "workroom-make_key": {"json": {"label": "of another"}},
}
SENDS_NOTHING = {
    "sitting-see", "sitting-erase", "sitting-see_checks", "sitting-see_decision",
    "photos-see_job", "photos-see_result", "photos-see_findings",
    "card-as_page", "card-as_pdf", "card-as_json", "card-as_draft",
    "card-compare_sittings", "card-workrooms_page",
    "card-workrooms_pdf", "card-workrooms_json", "card-workrooms_draft",
    "workroom-log_out", "workroom-see_workroom", "workroom-see_blocks", "workroom-see_block",
    "workroom-delete_block", "workroom-renew_link", "workroom-end_link", "workroom-see_sittings",
    "workroom-see_sitting", "workroom-decide_size", "workroom-erase", "workroom-end_key",
}  # fmt: skip
# For anybody; what is not public of them is tried with the victim's own words below.
FOR_ANYBODY = {
    "sitting-open_link", "workroom-log_in", "public-see_measurements", "public-see_sheets",
    "public-see_sheets_in",
    "public-see_demo_block", "public-see_demo_block_fuller", "health-alive", "health-ready",
}  # fmt: skip
# A name belongs to one workroom only, so that another may take the same one.
MAY_TAKE_THE_SAME_NAME = {"workroom-put_block"}
# Who asks for this of her own is out afterwards.
LOCKS_OUT = {"sitting-erase", "workroom-log_out"}
WHO = ("nobody", "neighbour", "customer-elsewhere", "other-workroom", "other-program")


@dataclass
class World:
    """A victim and everybody else.

    Args:
        service: that all of them use.
        room: the victim's workroom.
        customer: the victim.
        ids: of what is theirs, by the name in paths.
        token: of the link that she opened.
        words: that nobody else may read.
        others: who else there is, by what they are.
    """

    service: Service
    room: TestClient
    customer: TestClient
    ids: dict[str, str]
    token: str
    words: list[str]
    others: dict[str, TestClient] = field(default_factory=dict)

    def all_of_hers(self) -> list[bytes]:
        """Everything that the victim and her workroom can see."""
        seen = [
            self.customer.get(f"{SITTING}{path}")
            for path in (
                "",
                "/checks",
                "/decision",
                "/findings",
                "/card.json",
                f"/jobs/{self.ids['job_id']}",
            )
        ]
        seen += [self.room.get(f"{ROOM}{path}") for path in (
            "", "/blocks", f"/blocks/{self.ids['name']}", "/sittings",
            f"/sittings/{self.ids['sitting_id']}")]  # fmt: skip
        assert {one.status_code for one in seen} == {200}
        return [one.content for one in seen]

    def kept(self) -> list[Any]:
        """All that is kept for the victim and her workroom, as it lies in the database."""
        of_sitting, key = self.ids["sitting_id"], self.ids["key_id"]
        with self.service.store.reading() as session:
            owner = session.get_one(SittingRow, of_sitting).workroom_id
            rows = [
                *session.scalars(select(SittingRow).where(SittingRow.id == of_sitting)),
                *session.scalars(select(JobRow).where(JobRow.sitting_id == of_sitting)),
                *session.scalars(select(AnswerRow).where(AnswerRow.owner_id == of_sitting)),
                *session.scalars(select(WorkroomRow).where(WorkroomRow.id == owner)),
                *session.scalars(select(WorkroomKeyRow).where(WorkroomKeyRow.id == key)),
                *session.scalars(select(BlockRow).where(BlockRow.workroom_id == owner)),
            ]
            return [[getattr(row, column.name) for column in row.__table__.columns] for row in rows]

    def caller(self, who: str) -> TestClient:
        """Somebody else, with something of her own."""
        if who not in self.others:
            self.others[who] = self._new(who)
        return self.others[who]

    def _new(self, who: str) -> TestClient:
        if who == "nobody":
            return self.service.client()
        if who == "neighbour":
            return self.service.customer(self.room, label="neighbour")
        room = self.service.workroom(f"yard-{who}", "Yard room")
        if who == "customer-elsewhere":
            return self.service.customer(room)
        if who == "other-workroom":
            return room
        key = room.post(f"{ROOM}/keys", json={"label": "till"}).json()["key"]
        return self.service.client(headers={"Authorization": f"Bearer {key}"})


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """A victim with all that there can be."""
    service = begin(tmp_path_factory.mktemp("world") / "data")
    room = service.workroom("loft", "Loft room")
    name = "block-of-the-loft"
    toml = block_file().replace('name = "', 'name = "Loft-canary ', 1)
    assert room.put(f"{ROOM}/blocks/{name}", content=toml, headers=TOML).status_code == 200
    key = room.post(f"{ROOM}/keys", json={"label": "key-canary"}).json()
    terms = {"label": "label-canary", "address": "canary@loft.example", "block": name}
    invited = room.post(f"{ROOM}/invitations", json=terms).json()
    token = invited["link"].partition("#")[2]
    customer = service.client()
    customer.post(f"{BASE}/entrance", json={"token": token})
    customer.post(f"{SITTING}/consent", json={"adult": True, "photos": True})
    read_all(customer)
    odd = {"code": "waist", "entries": ["41.37 cm"], "instead": True}
    customer.post(f"{SITTING}/readings", json=odd)
    customer.post(f"{SITTING}/keeps", json={"code": "waist", "reason": "reason-canary"})
    job = customer.post(f"{SITTING}/photos", files=grey_pair(), data=TYPED).json()["id"]
    end_job(service, job, "done", findings(waist_mm=413.7))
    _note_findings(service, invited["id"])
    assert customer.post(f"{SITTING}/decision", json={}).status_code == 200
    ids = {
        "sitting_id": invited["id"],
        "earlier_id": invited["id"],
        "job_id": job,
        "key_id": key["id"],
        "name": name,
    }
    words = ["canary", "41.37", "413.7", token, key["key"], ids["sitting_id"], job, key["id"], name]
    yield World(service, room, customer, ids, token, words)
    service.close()


def _note_findings(service: Service, sitting_id: str) -> None:
    with sittings.changing(service.store, sitting_id, 30) as change:
        found = FindingsEntry.model_validate(findings(waist_mm=413.7))
        change.record = with_entry(change.record, found)


def test_every_route_has_a_case() -> None:
    names = {one.id for one in operations()}
    assert names == {*SENT, *SENDS_NOTHING, *FOR_ANYBODY}
    assert not set(SENT) & SENDS_NOTHING


def test_the_page_is_made_of_files_and_knows_nobody() -> None:
    shown = {getattr(route, "path", "") for route in page.router.routes}
    pages = {address_in(one, path) for one in LANGUAGES for path in ("/sitting", "/workroom")}
    assert shown == {"/", "/page/{name}", *pages}


def test_what_the_victim_has_is_there_for_herself(world: World) -> None:
    everything = b"".join(world.all_of_hers()).decode()
    # The token of a link and the secret of a key are shown once.
    assert [word for word in world.words if word not in everything] == world.words[3:5]
    assert len(world.kept()) == 5


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize(
    "operation", [one for one in operations() if one.id not in FOR_ANYBODY], ids=lambda one: one.id
)
def test_nobody_else_gets_at_it(world: World, operation: Operation, who: str) -> None:
    before = world.kept()
    path = operation.path.format(**world.ids)
    caller = world.caller(who)
    answer = caller.request(operation.method.upper(), path, **SENT.get(operation.id, {}))
    asks_for_workroom = operation.path.startswith(ROOM)
    is_workroom = who.startswith("other")
    shown = answer.text + str(dict(answer.headers))
    if who == "nobody" or asks_for_workroom != is_workroom:
        assert answer.status_code == 401
    elif "{" in operation.path and operation.id not in MAY_TAKE_THE_SAME_NAME:
        assert answer.status_code == 404
    else:
        # It is about what is her own.
        assert answer.status_code < 500
    if operation.id in MAY_TAKE_THE_SAME_NAME:
        shown = shown.replace(world.ids["name"], "")
        assert caller.delete(path).status_code == (204 if answer.status_code == 200 else 401)
    assert [word for word in world.words if word in shown] == []
    assert world.kept() == before
    if operation.id in LOCKS_OUT:
        del world.others[who]


def test_an_opened_link_and_a_known_login_open_nothing(world: World) -> None:
    before = world.kept()
    visitor = world.service.client()
    opened = visitor.post(f"{BASE}/entrance", json={"token": world.token})
    assert (opened.status_code, opened.json()["code"]) == (410, "link-spent")
    guessed = visitor.post(f"{ROOM}/login", json={"login": "loft", "password": "a guess of mine"})
    assert guessed.status_code == 401
    assert [word for word in world.words if word in opened.text + guessed.text] == []
    assert world.kept() == before


@pytest.mark.parametrize("who", ["customer", "workroom"])
def test_what_opens_one_side_does_not_open_the_other(world: World, who: str) -> None:
    mine = world.customer if who == "customer" else world.room
    (secret,) = mine.cookies.values()
    swapped = "__Host-workroom" if who == "customer" else "__Host-sitting"
    forged = world.service.client(cookies={swapped: secret})
    program = world.service.client(headers={"Authorization": f"Bearer {secret}"})
    for caller in (forged, program):
        for path in (SITTING, ROOM, f"{ROOM}/sittings", f"{SITTING}/card.json"):
            assert caller.get(path).status_code == 401


def test_another_workrooms_words_in_an_invitation_open_nothing(world: World) -> None:
    other = world.caller("other-workroom")
    asked = other.post(f"{ROOM}/invitations", json={"block": world.ids["name"]})
    assert (asked.status_code, asked.json()["code"]) == (404, "no-such-block")


def test_a_key_of_an_earlier_request_belongs_to_who_sent_it(world: World) -> None:
    headers = {"Idempotency-Key": "one-for-all"}
    sent = {"code": "wrist", "entries": ["15.9 cm"]}
    hers = world.customer.post(f"{SITTING}/readings", json=sent, headers=headers)
    theirs = world.caller("neighbour").post(f"{SITTING}/readings", json=sent, headers=headers)
    assert (hers.status_code, theirs.status_code) == (201, 201)
    assert "reading 1" in theirs.json()["echo"][0]
    made = [
        caller.post(f"{ROOM}/keys", json={"label": "one"}, headers=headers).json()["id"]
        for caller in (world.room, world.caller("other-workroom"))
    ]
    assert made[0] != made[1]
