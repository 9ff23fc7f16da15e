"""The workroom over HTTP: login, invitations, blocks, keys."""

from importlib import resources

import pytest

from ellwand.sizing import demo_block, demo_block_toml
from tests.service import BASE, PASSWORD, Service, read_all

BLOCK = resources.files("ellwand.sizing").joinpath("demo_block.toml").read_text("utf-8")
ROOM = f"{BASE}/workroom"


def test_only_the_right_password_opens_a_workroom(service: Service) -> None:
    service.workroom("mara")
    visitor = service.client()
    for login, password in (("mara", "a guess of mine"), ("nobody", PASSWORD)):
        answer = visitor.post(f"{ROOM}/login", json={"login": login, "password": password})
        # Whether a login exists is not told.
        assert (answer.status_code, answer.json()["code"]) == (401, "login-wrong")
    assert visitor.get(ROOM).json()["code"] == "not-logged-in"
    again = visitor.post(f"{ROOM}/login", json={"login": " Mara ", "password": PASSWORD})
    assert again.json()["name"] == "Loft room"


def test_a_login_ends_when_she_logs_out_or_after_its_hours(service: Service) -> None:
    workroom = service.workroom()
    cookies = dict(workroom.cookies)
    assert workroom.post(f"{ROOM}/logout").status_code == 204
    assert service.client(cookies=cookies).get(ROOM).status_code == 401
    workroom = service.workroom()
    service.clock.now += service.settings.login_hours * 3600 + 1
    assert workroom.get(ROOM).status_code == 401


def test_a_new_password_ends_every_login_and_key(service: Service) -> None:
    workroom = service.workroom()
    key = workroom.post(f"{ROOM}/keys", json={"label": "till"}).json()["key"]
    service.workroom()
    program = service.client(headers={"Authorization": f"Bearer {key}"})
    assert (workroom.get(ROOM).status_code, program.get(ROOM).status_code) == (401, 401)


def test_she_sees_how_far_each_customer_is(service: Service) -> None:
    workroom = service.workroom()
    workroom.post(f"{ROOM}/invitations", json={"label": "not yet opened"})
    service.clock.now += 1
    customer = service.customer(workroom, label="who has begun")
    read_all(customer, {"stature": ["168"], "waist": ["47"]})
    begun, waiting = workroom.get(f"{ROOM}/sittings").json()
    assert (begun["terms"]["label"], waiting["terms"]["label"]) == (
        "who has begun", "not yet opened",
    )  # fmt: skip
    assert (begun["opened"], waiting["opened"], waiting["link_open"]) == (True, False, True)
    assert (begun["measured"], begun["confirmed"], begun["kept"]) == (True, ["stature"], [])
    assert not begun["decided"]
    keep = {"code": "waist", "reason": "measured by a friend"}
    assert customer.post(f"{BASE}/sitting/keeps", json=keep).status_code == 201
    begun, waiting = workroom.get(f"{ROOM}/sittings").json()
    assert (set(begun["confirmed"]), begun["kept"]) == ({"stature", "waist"}, ["waist"])
    assert not waiting["measured"]
    whole = workroom.get(f"{ROOM}/sittings/{begun['id']}").json()
    assert whole["record"]["readings"]["waist"][0]["raw"] == "47"
    card = workroom.get(f"{ROOM}/sittings/{begun['id']}/card.pdf")
    assert card.content.startswith(b"%PDF-")


def test_a_new_link_takes_the_place_of_the_old_one(service: Service) -> None:
    workroom = service.workroom()
    first = workroom.post(f"{ROOM}/invitations", json={}).json()
    second = workroom.post(f"{ROOM}/invitations/{first['id']}/link").json()
    assert second["id"] == first["id"]
    tokens = [one["link"].partition("#")[2] for one in (first, second)]
    answers = [service.client().post(f"{BASE}/entrance", json={"token": one}) for one in tokens]
    assert [one.status_code for one in answers] == [404, 200]


def test_ending_a_link_locks_the_customers_browser_out(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
    assert workroom.delete(f"{ROOM}/invitations/{sitting_id}/link").status_code == 204
    assert customer.get(f"{BASE}/sitting").status_code == 401
    assert len(workroom.get(f"{ROOM}/sittings").json()) == 1


def test_an_invitation_sent_twice_makes_one_sitting(service: Service) -> None:
    workroom = service.workroom()
    key = {"Idempotency-Key": "a"}
    links = [workroom.post(f"{ROOM}/invitations", json={}, headers=key).json() for _ in range(2)]
    assert links[0] == links[1]
    assert len(workroom.get(f"{ROOM}/sittings").json()) == 1


def test_spaces_around_the_address_for_cards_are_taken_off(service: Service) -> None:
    customer = service.customer(service.workroom(), address=" cards@loft.example ")
    assert b"To: cards@loft.example\r\n" in customer.get(f"{BASE}/sitting/card.eml").content


def test_a_name_of_nothing_but_spaces_is_none(service: Service) -> None:
    workroom = service.workroom()
    for label in ("  ", " A. from the hills "):
        workroom.post(f"{ROOM}/invitations", json={"label": label})
    sittings = workroom.get(f"{ROOM}/sittings").json()
    assert {one["terms"]["label"] for one in sittings} == {"", "A. from the hills"}


@pytest.mark.parametrize(
    ("terms", "code"),
    [({"asked": ["neck"]}, "unknown-code"), ({"asked": []}, "unknown-code"),
     ({"address": "a@x.example, b@y.example"}, "address-unreadable"),
     ({"block": "none"}, "no-such-block"), ({"garment": "tent"}, "garment-not-in-block")],
)  # fmt: skip
def test_an_invitation_that_cannot_be_kept_is_refused(
    service: Service, terms: dict[str, object], code: str
) -> None:
    workroom = service.workroom()
    assert workroom.post(f"{ROOM}/invitations", json=terms).json()["code"] == code
    assert workroom.get(f"{ROOM}/sittings").json() == []


class TestBlocks:
    """The workroom's own base patterns."""

    def put(self, service: Service, toml: str, name: str = "own block") -> tuple[int, object]:
        """Send a block file."""
        answer = service.workroom().put(
            f"{ROOM}/blocks/{name}", content=toml, headers={"Content-Type": "application/toml"}
        )
        return answer.status_code, answer.json()

    def test_a_block_is_kept_and_given_back_as_it_was_sent(self, service: Service) -> None:
        status, block = self.put(service, BLOCK)
        assert status == 200
        workroom = service.workroom()
        assert workroom.get(f"{ROOM}/blocks").json() == [block]
        assert workroom.get(f"{ROOM}/blocks/own block").text == BLOCK

    def test_a_block_can_be_checked_without_being_kept(self, service: Service) -> None:
        workroom = service.workroom()
        toml = {"Content-Type": "application/toml"}
        told = workroom.post(f"{ROOM}/block-checks", content=BLOCK, headers=toml).json()
        assert told["understood"][-1] == "This block can be used."
        wrong = BLOCK.replace("high_bust", "high_burst", 1)
        refused = workroom.post(f"{ROOM}/block-checks", content=wrong, headers=toml)
        assert refused.status_code == 422
        assert "size 1, high_burst" in refused.json()["title"]
        assert workroom.get(f"{ROOM}/blocks").json() == []

    def test_the_size_is_decided_by_the_block_of_the_invitation(self, service: Service) -> None:
        self.put(service, BLOCK.replace('name = "', 'name = "Own: ', 1))
        customer = service.customer(service.workroom(), block="own block")
        read_all(customer)
        decided = customer.post(f"{BASE}/sitting/decision", json={}).json()
        assert decided["block"].startswith("Own: ")

    def test_a_size_is_known_to_rest_on_the_block_as_it_was_and_is_decided_anew(
        self, service: Service
    ) -> None:
        workroom = service.workroom()

        def put(toml: str) -> None:
            kept = workroom.put(
                f"{ROOM}/blocks/own block",
                content=toml,
                headers={"Content-Type": "application/toml"},
            )
            assert kept.status_code == 200

        put(BLOCK)
        one, other = (service.customer(workroom, block="own block") for _ in range(2))
        for customer in (one, other):
            read_all(customer)
            asked = customer.post(f"{BASE}/sitting/decision", json={"garment": "camisole"})
            assert asked.status_code == 200, asked.text
        ids = {client: client.get(f"{BASE}/sitting").json()["id"] for client in (one, other)}

        def changed() -> set[str]:
            lines = workroom.get(f"{ROOM}/sittings").json()
            for line in lines:
                told = workroom.get(f"{ROOM}/sittings/{line['id']}").json()
                assert told["block_changed"] == line["block_changed"]
            return {line["id"] for line in lines if line["block_changed"]}

        assert changed() == set()
        # A comment says nothing that a size rests on.
        put(f"# Mine.\n{BLOCK}")
        assert changed() == set()
        put(BLOCK.replace("high_bust = 88", "high_bust = 87.5"))
        assert changed() == set(ids.values())
        assert one.get(f"{BASE}/sitting").json()["block_changed"]
        decided = workroom.post(f"{ROOM}/sittings/{ids[one]}/decision")
        assert (decided.status_code, decided.json()["garment"]) == (200, "camisole")
        assert "87.5 cm" in decided.json()["size"]["reason"]
        assert changed() == {ids[other]}
        assert one.get(f"{BASE}/sitting/decision").json() == decided.json()
        assert not one.get(f"{BASE}/sitting").json()["block_changed"]
        # Without the block nothing can be decided anew.
        workroom.delete(f"{ROOM}/blocks/own block")
        assert changed() == set()
        refused = workroom.post(f"{ROOM}/sittings/{ids[other]}/decision")
        assert (refused.status_code, refused.json()["code"]) == (404, "no-such-block")

    def test_a_size_that_its_customer_did_not_decide_is_decided_from_the_workroom(
        self, service: Service
    ) -> None:
        workroom = service.workroom()
        customer = service.customer(workroom, language="de", garment="camisole")
        path = f"{ROOM}/sittings/{customer.get(f'{BASE}/sitting').json()['id']}/decision"
        assert workroom.post(path).json()["code"] == "not-confirmed"
        read_all(customer)
        decided = workroom.post(path).json()
        assert decided["garment"] == "camisole"
        # Said as its customer reads it.
        assert "Oberbrustumfang" in decided["size"]["reason"]

    def test_the_demo_block_is_there_to_be_copied(self, service: Service) -> None:
        file = service.client().get(f"{BASE}/demo-block.toml")
        assert file.text == BLOCK
        german = service.client().get(
            f"{BASE}/demo-block.toml", headers={"Accept-Language": "de-AT"}
        )
        assert german.content == demo_block_toml(language="de")
        assert "Nähen Sie nichts" in german.text
        fuller = service.client().get(f"{BASE}/demo-block-fuller.toml")
        assert fuller.content == demo_block_toml("fuller")
        # Whoever reads it on a page has no command.
        assert "--block" not in file.text + german.text + fuller.text
        assert service.workroom().get(ROOM).json()["demo"]["garments"]

    def test_a_line_that_cannot_be_right_is_named(self, service: Service) -> None:
        status, problem = self.put(service, "name = 3")
        assert (status, problem["code"]) == (422, "block-line")  # type: ignore[index]
        wrong = BLOCK.splitlines().index("waist = 72")
        for instead in ("waist = 720", "waist = 72 cm"):
            _, problem = self.put(service, BLOCK.replace("waist = 72", instead))
            assert problem["line"] == wrong + 1  # type: ignore[index]

    def test_a_name_has_to_be_printable(self, service: Service) -> None:
        _, problem = self.put(service, BLOCK, "own%07block")
        assert problem["code"] == "block-name"  # type: ignore[index]

    def test_a_file_kept_by_an_earlier_version_is_listed_with_what_it_lacks(
        self, service: Service, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        with monkeypatch.context() as earlier:
            earlier.setattr("ellwand.store.workrooms.block_from_toml", lambda _: demo_block())
            assert self.put(service, BLOCK.replace("hem_allowance = 2.5\n", ""), "old")[0] == 200
        assert self.put(service, BLOCK, "own block")[0] == 200
        workroom = service.workroom()
        old, own = sorted(workroom.get(f"{ROOM}/blocks").json(), key=lambda one: one["name"])
        assert "garment.blouse.hem_allowance: this line is missing" in old["problem"]
        assert (old["sizes"], own["problem"]) == ([], None)
        answer = workroom.post(f"{ROOM}/invitations", json={"block": "old", "garment": "blouse"})
        assert (answer.status_code, answer.json()["code"]) == (422, "block-line")
        assert self.put(service, BLOCK, "old")[0] == 200
        again = service.workroom().get(f"{ROOM}/blocks").json()
        assert [one["problem"] for one in again] == [None, None]

    def test_a_block_can_be_deleted(self, service: Service) -> None:
        self.put(service, BLOCK)
        workroom = service.workroom()
        assert workroom.delete(f"{ROOM}/blocks/own block").status_code == 204
        assert workroom.delete(f"{ROOM}/blocks/own block").json()["code"] == "no-block-here"

    def test_there_is_an_end_to_blocks(
        self, service: Service, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("ellwand.store.workrooms.MOST_BLOCKS", 1)
        assert self.put(service, BLOCK, "one")[0] == 200
        assert self.put(service, BLOCK, "one")[0] == 200
        assert self.put(service, BLOCK, "two")[1]["code"] == "too-many-blocks"  # type: ignore[index]


class TestKeys:
    """Keys for a workroom's own programs."""

    def test_a_program_works_with_its_key_until_it_is_ended(self, service: Service) -> None:
        workroom = service.workroom()
        made = workroom.post(f"{ROOM}/keys", json={"label": "ledger"}).json()
        program = service.client(headers={"Authorization": f"Bearer {made['key']}"})
        assert program.get(ROOM).json()["keys"][0]["label"] == "ledger"
        assert program.post(f"{ROOM}/invitations", json={}).status_code == 201
        assert workroom.delete(f"{ROOM}/keys/{made['id']}").status_code == 204
        assert program.get(ROOM).status_code == 401
        assert workroom.delete(f"{ROOM}/keys/{made['id']}").json()["code"] == "no-such-key"

    def test_a_browsers_login_is_no_key_and_a_key_no_login(self, service: Service) -> None:
        workroom = service.workroom()
        key = workroom.post(f"{ROOM}/keys", json={"label": "ledger"}).json()["key"]
        cookie = workroom.cookies["__Host-workroom"]
        swapped = service.client(headers={"Authorization": f"Bearer {cookie}"})
        assert swapped.get(ROOM).status_code == 401
        assert service.client(cookies={"__Host-workroom": key}).get(ROOM).status_code == 401

    def test_there_is_an_end_to_keys(
        self, service: Service, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("ellwand.store.workrooms.MOST_KEYS", 1)
        workroom = service.workroom()
        workroom.post(f"{ROOM}/keys", json={"label": "one"})
        answer = workroom.post(f"{ROOM}/keys", json={"label": "two"})
        assert answer.json()["code"] == "too-many-keys"
