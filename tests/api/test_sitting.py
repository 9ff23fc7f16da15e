"""A customer's sitting over HTTP, from the link to erasing it."""

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from ellwand.card import style_sheet
from ellwand.card.wording import OUTLINE_WORDS
from ellwand.measurements import LEVELS
from ellwand.sitting import CorrectionEntry, FindingsEntry, with_entry
from ellwand.sitting.traced_entry import TracedEntry
from ellwand.store import sittings
from ellwand.tape import DROPS_MM, HOW_TOS, Section, crooked, crooked_words
from ellwand.tape.crooked import USUAL
from tests.api.measured import findings
from tests.api.test_photos import end_job
from tests.card.test_drawing import view
from tests.mime_walk import walk
from tests.problem_details import check_problem
from tests.service import BASE, READINGS, Service, begin, read_all
from tests.store.kept import move_address

READING = f"{BASE}/sitting/readings"
MAIL, SHOWN = f"{BASE}/sitting/card/mail", {"address": "cards@loft.example"}


def test_a_link_opens_her_sitting_and_says_who_asks_for_what(service: Service) -> None:
    workroom = service.workroom(name="Loft room")
    customer = service.customer(workroom, asked=["waist"], unit="in", consent=False)
    seen = customer.get(f"{BASE}/sitting").json()
    assert seen["workroom"] == "Loft room"
    assert (seen["asked"], seen["unit"], seen["consent"]) == (["waist"], "in", False)
    assert seen["needed"] == ["stature", "high_bust", "full_bust", "waist"]
    # How the workroom calls her is not shown to her.
    assert "label" not in seen


def test_her_readings_are_echoed_in_both_units_and_become_a_measurement(service: Service) -> None:
    customer = service.customer(service.workroom())
    answer = customer.post(READING, json={"code": "waist", "entries": ["74", "29 1/8 in"]})
    assert answer.status_code == 201
    assert answer.json()["echo"] == [
        "waist, reading 1: 74.0 cm (29 1/8 in)",
        "waist, reading 2: 74.0 cm (29 1/8 in)",
        "Confirmed by 2 readings: 74.0 cm (29 1/8 in).",
    ]
    assert answer.json()["measurement"]["standing"] == "confirmed"


def test_a_doubtful_reading_is_queried_and_may_be_kept_for_a_reason(service: Service) -> None:
    customer = service.customer(service.workroom())
    read_all(customer)
    odd = customer.post(READING, json={"code": "waist", "entries": ["150"], "instead": True})
    assert odd.json()["measurement"]["standing"] == "queried"
    assert [one["code"] for one in customer.get(f"{BASE}/sitting/checks").json()["queries"]] == [
        "waist"
    ]
    kept = customer.post(f"{BASE}/sitting/keeps", json={"code": "waist", "reason": "I am sure"})
    assert (kept.status_code, kept.json()["standing"]) == (201, "kept")


@pytest.mark.parametrize(
    ("entry", "code"),
    [("eighty", "entry-unreadable"), (" ", "entry-empty"), ("1,000", "entry-thousands"),
     ("1" * 30, "entry-too-long")],
)  # fmt: skip
def test_an_entry_that_is_no_length_changes_nothing(
    service: Service, entry: str, code: str
) -> None:
    customer = service.customer(service.workroom())
    before = customer.get(f"{BASE}/sitting").json()["record"]
    answer = customer.post(READING, json={"code": "waist", "entries": ["74", entry]})
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert answer.headers["content-type"] == "application/problem+json"
    assert customer.get(f"{BASE}/sitting").json()["record"] == before


def test_a_number_takes_the_unit_that_she_chose(service: Service) -> None:
    customer = service.customer(service.workroom())
    assert customer.put(f"{BASE}/sitting/unit", json={"unit": "in"}).json()["unit"] == "in"
    customer.post(READING, json={"code": "waist", "entries": ["29 1/2"]})
    readings = customer.get(f"{BASE}/sitting").json()["record"]["readings"]
    assert readings["waist"][0]["mm"] == pytest.approx(29.5 * 25.4)


def test_she_says_who_holds_the_tape_and_what_she_wears_for_what_comes(service: Service) -> None:
    customer = service.customer(service.workroom())
    customer.post(READING, json={"code": "waist", "entries": ["74"]})
    told = {"measured_by": "herself", "worn": "bra"}
    answer = customer.put(f"{BASE}/sitting/taking", json=told)
    assert (answer.status_code, answer.json()["record"]["taking"]) == (200, told)
    customer.post(READING, json={"code": "waist", "entries": ["74.5"]})
    record = customer.get(f"{BASE}/sitting").json()["record"]
    untold = {"measured_by": "untold", "worn": "untold"}
    assert [one["taking"] for one in record["readings"]["waist"]] == [untold, told]
    (row,) = customer.get(f"{BASE}/sitting/card.json").json()["rows"]
    # A bra does not lie under the tape at a waist.
    assert row["taken"] == [untold, {**told, "worn": "untold"}]
    assert row["taken_on"] == row["taken_until"]


def test_readings_may_say_themselves_how_they_were_taken(service: Service) -> None:
    customer = service.customer(service.workroom())
    high = {"code": "high_bust", "entries": ["88", "88"], "measured_by": "somebody", "worn": "bra"}
    full = {"code": "full_bust", "entries": ["94", "94"], "worn": "thick"}
    said = {"measured_by": "herself", "worn": "close-top"}
    customer.put(f"{BASE}/sitting/taking", json=said)
    assert customer.post(READING, json=high).json()["queries"] == []
    found = customer.post(READING, json=full).json()
    assert [(one["rule"], one["blocks"]) for one in found["queries"]] == [("worn", False)] * 2
    assert found["measurement"]["standing"] == "confirmed"
    record = customer.get(f"{BASE}/sitting").json()["record"]
    assert record["readings"]["full_bust"][0]["taking"] == {**said, "worn": "thick"}
    assert record["taking"] == said
    # Remarks are no open queries, but they are no secret either.
    assert customer.get(f"{BASE}/sitting/checks").json()["queries"] == []
    warnings = customer.get(f"{BASE}/sitting/card.json").json()["warnings"]
    assert [words.split(" ")[0] for words in warnings] == ["Measured", "High"]


@pytest.mark.parametrize(
    "sent",
    [{}, {"measured_by": "herself"}, {"measured_by": "Anna", "worn": "bra"},
     {"measured_by": "herself", "worn": "my red bra"},
     {"measured_by": "herself", "worn": "bra", "name": "Anna"}],
)  # fmt: skip
def test_no_name_and_no_free_words_are_taken_for_it(service: Service, sent: dict[str, str]) -> None:
    customer = service.customer(service.workroom())
    answer = customer.put(f"{BASE}/sitting/taking", json=sent)
    assert (answer.status_code, answer.json()["code"]) == (400, "malformed")
    assert "Anna" not in answer.text
    assert "my red bra" not in answer.text


def test_a_confirmed_hip_tightens_the_waist_that_photos_gave(service: Service) -> None:
    customer = service.customer(service.workroom())
    sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
    with sittings.changing(service.store, sitting_id, 30) as change:
        found = FindingsEntry.model_validate(findings(waist_mm=745.0))
        change.record = with_entry(change.record, found)
    before = customer.get(f"{BASE}/sitting").json()["record"]
    assert before["measurements"]["waist"]["tightened_by"] == []
    customer.post(READING, json={"code": "full_hip", "entries": ["102", "102"]})
    after = customer.get(f"{BASE}/sitting").json()["record"]
    assert after["measurements"]["waist"]["standing"] == "estimated"
    assert after["measurements"]["waist"]["tightened_by"] == ["full_hip"]
    assert after["measurements"]["waist"]["value_mm"] > 745.0
    assert after["measurements"]["waist"]["u_mm"] < 22.0
    assert after["findings"] == before["findings"]
    (words,) = customer.get(f"{BASE}/sitting/card.json").json()["warnings"]
    assert "height" in words


def test_nothing_is_decided_before_the_bust_is_confirmed(service: Service) -> None:
    customer = service.customer(service.workroom())
    read_all(customer, {code: READINGS[code] for code in READINGS if code != "full_bust"})
    refused = customer.post(f"{BASE}/sitting/decision", json={})
    assert (refused.status_code, refused.json()["code"]) == (422, "not-confirmed")
    assert customer.get(f"{BASE}/sitting/decision").json()["code"] == "not-decided"
    read_all(customer, {"full_bust": READINGS["full_bust"]})
    decided = customer.post(f"{BASE}/sitting/decision", json={})
    assert decided.status_code == 200
    assert decided.json() == customer.get(f"{BASE}/sitting/decision").json()
    assert decided.json()["size"]["name"]
    told = customer.get(f"{BASE}/sitting").json()["size"]
    assert told["headline"].startswith(f"Size {decided.json()['size']['name']}; sewing cup ")
    titles = [step["title"] for step in told["steps"]]
    assert titles[:3] == ["Length class", "Size", "Cup"]
    assert titles.index("Sew first") < titles.index("Mind")


def test_a_later_reading_drops_the_decision(service: Service) -> None:
    customer = service.customer(service.workroom())
    read_all(customer)
    customer.post(f"{BASE}/sitting/decision", json={})
    read_all(customer, {"waist": ["75.5"]})
    assert customer.get(f"{BASE}/sitting/decision").status_code == 404


def test_a_link_is_opened_once(service: Service) -> None:
    workroom = service.workroom()
    link = workroom.post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    sent = {"token": link.partition("#")[2]}
    first, second = service.client(), service.client()
    assert first.post(f"{BASE}/entrance", json=sent).status_code == 200
    spent = second.post(f"{BASE}/entrance", json=sent)
    assert (spent.status_code, spent.json()["code"]) == (410, "link-spent")
    assert first.get(f"{BASE}/sitting").status_code == 200


def test_a_lost_answer_to_opening_it_is_given_again_for_ten_minutes(service: Service) -> None:
    link = service.workroom().post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    sent, again = {"token": link.partition("#")[2]}, {"Idempotency-Key": "a-random-one"}
    lost, phone = service.client(), service.client()
    assert lost.post(f"{BASE}/entrance", json=sent, headers=again).status_code == 200
    service.clock.now += 500
    assert phone.post(f"{BASE}/entrance", json=sent, headers=again).status_code == 200
    assert phone.get(f"{BASE}/sitting").status_code == 200
    # The one whose answer was lost is out.
    assert lost.get(f"{BASE}/sitting").status_code == 401
    service.clock.now += 200
    assert phone.post(f"{BASE}/entrance", json=sent, headers=again).status_code == 410


def test_a_link_ends_after_its_days(service: Service) -> None:
    link = service.workroom().post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    service.clock.now += service.settings.link_days * 86_400 + 1
    answer = service.client().post(f"{BASE}/entrance", json={"token": link.partition("#")[2]})
    assert (answer.status_code, answer.json()["code"]) == (404, "link-unknown")


def test_erasing_takes_everything_away_at_once(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom, label="who is erased")
    read_all(customer)
    answer = customer.delete(f"{BASE}/sitting")
    assert answer.status_code == 204
    assert '"cookies"' in answer.headers["clear-site-data"]
    assert customer.get(f"{BASE}/sitting").status_code == 401
    assert workroom.get(f"{BASE}/workroom/sittings").json() == []


def test_a_browser_that_kept_its_cookie_finds_nothing_after_erasing(service: Service) -> None:
    customer = service.customer(service.workroom())
    cookies = dict(customer.cookies)
    customer.delete(f"{BASE}/sitting")
    late = service.client(cookies=cookies)
    told = late.get(f"{BASE}/sitting").json()
    assert told["code"] == "no-sitting-open"
    # It need not be herself who has erased it.
    assert told["title"] == "Your sitting is not open in this browser any more."
    assert told["detail"].startswith("It was erased, its time is over, or its link was ended")


class TestTheSameRequestSentTwice:
    """A phone that lost the answer sends its request again, with the same idempotency key."""

    def test_is_done_once_and_answered_alike(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        sent, key = {"code": "waist", "entries": ["74"]}, {"Idempotency-Key": "k1"}
        first = customer.post(READING, json=sent, headers=key)
        second = customer.post(READING, json=sent, headers=key)
        assert (first.status_code, first.content) == (second.status_code, second.content)
        assert len(customer.get(f"{BASE}/sitting").json()["record"]["readings"]["waist"]) == 1

    def test_is_refused_when_it_asks_for_something_else(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        key = {"Idempotency-Key": "k1"}
        customer.post(READING, json={"code": "waist", "entries": ["74"]}, headers=key)
        other = customer.post(READING, json={"code": "waist", "entries": ["75"]}, headers=key)
        assert (other.status_code, other.json()["code"]) == (422, "key-used-otherwise")

    def test_may_be_sent_again_after_it_was_refused(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        key = {"Idempotency-Key": "k1"}
        assert customer.post(
            READING, json={"code": "waist", "entries": ["oops"]}, headers=key
        ).status_code == 422  # fmt: skip
        assert customer.post(
            READING, json={"code": "waist", "entries": ["74"]}, headers=key
        ).status_code == 201  # fmt: skip

    def test_is_known_for_each_customer_apart(self, service: Service) -> None:
        workroom = service.workroom()
        key = {"Idempotency-Key": "k1"}
        for customer in (service.customer(workroom), service.customer(workroom)):
            sent = {"code": "waist", "entries": ["74"]}
            assert customer.post(READING, json=sent, headers=key).status_code == 201
            assert customer.get(f"{BASE}/sitting").json()["record"]["readings"]["waist"]

    def test_is_forgotten_after_a_day(self, service: Service) -> None:
        from ellwand.store.erasing import sweep

        customer = service.customer(service.workroom())
        sent, key = {"code": "waist", "entries": ["74"]}, {"Idempotency-Key": "k1"}
        customer.post(READING, json=sent, headers=key)
        service.clock.now += 86_401
        sweep(service.store, service.settings.spool_minutes)
        customer.post(READING, json=sent, headers=key)
        assert len(customer.get(f"{BASE}/sitting").json()["record"]["readings"]["waist"]) == 2


class TestTheCard:
    """One page, in three forms, and by mail."""

    def test_is_a_pdf_a_json_and_a_draft_with_both(self, service: Service) -> None:
        customer = service.customer(service.workroom(), address="cards@loft.example")
        read_all(customer)
        pdf = customer.get(f"{BASE}/sitting/card.pdf")
        assert pdf.content.startswith(b"%PDF-")
        assert pdf.headers["content-disposition"] == 'attachment; filename="measurement-card.pdf"'
        workroom = f"Workroom: {customer.get(f'{BASE}/sitting').json()['workroom']}"
        assert workroom in customer.get(f"{BASE}/sitting/card.html").text
        assert workroom in PdfReader(io.BytesIO(pdf.content)).pages[0].extract_text()
        assert customer.put(f"{BASE}/sitting/language", json={"language": "de"}).is_success
        german = customer.get(f"{BASE}/sitting/card.json").headers["content-disposition"]
        assert german == 'attachment; filename="masskarte.json"'
        assert customer.put(f"{BASE}/sitting/language", json={"language": "en"}).is_success
        assert customer.get(f"{BASE}/sitting/card.json").json()["format"] == "ellwand-card"
        draft = customer.get(f"{BASE}/sitting/card.eml")
        assert b"To: cards@loft.example\r\n" in draft.content
        assert draft.headers["content-type"] == "message/rfc822"
        bodies = {part.kind: part.body for part in walk(draft.content)}
        assert workroom in bodies["text/plain"].decode()
        assert bodies["application/pdf"] == pdf.content
        assert bodies["application/json"] == customer.get(f"{BASE}/sitting/card.json").content
        for kind in ("text/plain", "text/html"):
            assert "full bust" in bodies[kind].decode()

    def test_is_a_page_for_her_and_for_her_workroom(self, service: Service) -> None:
        workroom = service.workroom()
        customer = service.customer(workroom, label="A. from the hills")
        read_all(customer)
        seen = customer.get(f"{BASE}/sitting/card.html")
        assert seen.headers["content-type"] == "text/html; charset=utf-8"
        # Shown, and not saved; and no script runs in it, whatever her words are.
        assert "content-disposition" not in seen.headers
        assert "script-src" not in seen.headers["content-security-policy"]
        assert seen.headers["content-security-policy"].startswith("default-src 'none'; style-src")
        assert seen.headers["cache-control"] == "no-store"
        assert "full bust" in seen.text
        (link,) = re.findall(r'<link rel="stylesheet" href="([^"]+)">', seen.text)
        style = customer.get(link)
        assert style.headers["content-type"].startswith("text/css")
        assert style.text == style_sheet()
        sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
        there = workroom.get(f"{BASE}/workroom/sittings/{sitting_id}/card.html")
        assert there.text == seen.text
        assert "A. from the hills" not in there.text

    def test_has_no_draft_without_an_address(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        assert customer.get(f"{BASE}/sitting/card.eml").json()["code"] == "no-address"

    def test_is_not_sent_where_no_mail_server_is_set(self, service: Service) -> None:
        customer = service.customer(service.workroom(), address="cards@loft.example")
        assert customer.post(MAIL, json=SHOWN).json()["code"] == "no-mail-here"
        assert service.announced == []


def printed(pdf: bytes) -> str:
    """What stands in a PDF."""
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


class TestHerOutlineOnTheCard:
    """Only where she wants it, and for nobody else before."""

    OUTLINE = f"{BASE}/sitting/card/outline"

    @pytest.fixture
    def workroom(self, service: Service) -> TestClient:
        """A workroom."""
        return service.workroom()

    @pytest.fixture
    def customer(self, service: Service, workroom: TestClient) -> TestClient:
        """Somebody whose photos were measured."""
        made = service.customer(workroom, **SHOWN)
        with sittings.changing(service.store, self.id_of(made), 30) as change:
            traced = TracedEntry(
                first_row_px=400.0,
                row_step_px=2.0,
                left_px=(520.0, None),
                right_px=(680.0, 681.0),
                foot_px=(600.0, 1500.0),
            )
            views = {
                name: one.model_copy(update={"traced": traced})
                for name, one in {"front": view(), "side": view(300, 40)}.items()
            }
            found = FindingsEntry.model_validate(findings())
            more = {**views, "corrections": (CorrectionEntry(number=1),)}
            change.record = with_entry(change.record, found.model_copy(update=more))
        return made

    def id_of(self, customer: TestClient) -> str:
        """Id of her sitting."""
        return str(customer.get(f"{BASE}/sitting").json()["id"])

    def shown(self, client: TestClient, place: str = f"{BASE}/sitting") -> dict[str, bool]:
        """Whether it is on the card as a page, as PDF and in a draft."""
        drafted = {part.kind: part.body for part in walk(client.get(f"{place}/card.eml").content)}
        pdfs = client.get(f"{place}/card.pdf").content, drafted["application/pdf"]
        told = ["HER OUTLINE" in printed(one) for one in pdfs]
        return {"page": OUTLINE_WORDS in client.get(f"{place}/card.html").text,
                "pdf": told[0], "draft": told[1]}  # fmt: skip

    def test_is_off_until_she_wants_it_and_can_be_taken_back(
        self, customer: TestClient, workroom: TestClient
    ) -> None:
        there = f"{BASE}/workroom/sittings/{self.id_of(customer)}"
        figures = customer.get(f"{BASE}/sitting/card.json").content
        nowhere = dict.fromkeys(("page", "pdf", "draft"), False)
        assert customer.get(f"{BASE}/sitting").json()["outline_on_card"] is False
        assert self.shown(customer) == self.shown(workroom, there) == nowhere
        put = customer.put(self.OUTLINE, json={"on_card": True})
        assert (put.status_code, put.json()["outline_on_card"]) == (200, True)
        everywhere = dict.fromkeys(nowhere, True)
        assert self.shown(customer) == self.shown(workroom, there) == everywhere
        # The numbers are the same card.
        assert customer.get(f"{BASE}/sitting/card.json").content == figures
        back = customer.put(self.OUTLINE, json={"on_card": False})
        assert back.json()["outline_on_card"] is False
        assert self.shown(customer) == self.shown(workroom, there) == nowhere

    @pytest.mark.parametrize("on_card", [False, True])
    def test_its_points_are_for_her_alone(
        self, customer: TestClient, workroom: TestClient, on_card: bool
    ) -> None:
        customer.put(self.OUTLINE, json={"on_card": on_card})
        hers = customer.get(f"{BASE}/sitting").json()["record"]["findings"]
        seen = workroom.get(f"{BASE}/workroom/sittings/{self.id_of(customer)}").json()
        theirs = seen["record"]["findings"]
        assert len(hers["front"]["outline_px"]) > 100
        for one in ("front", "side"):
            bare = {"outline_px": [], "landmarks_px": {}, "levels_px": {}, "traced": None}
            assert theirs[one] == {**hers[one], **bare}
        assert hers["front"]["traced"] is not None
        assert (len(hers["corrections"]), theirs["corrections"]) == (1, [])
        rest = ("estimates", "scale", "joint", "outside")
        assert [theirs[part] for part in rest] == [hers[part] for part in rest]

    def test_is_refused_where_there_is_none(self, service: Service, workroom: TestClient) -> None:
        nobody = service.customer(workroom)
        check_problem(nobody.put(self.OUTLINE, json={"on_card": True}), 409, "no-outline")
        assert nobody.put(self.OUTLINE, json={"on_card": False}).status_code == 200
        sitting_id = self.id_of(nobody)
        with sittings.changing(service.store, sitting_id, 30) as change:
            # Three points and a waist give no drawing.
            found = FindingsEntry.model_validate(findings())
            change.record = with_entry(change.record, found)
        check_problem(nobody.put(self.OUTLINE, json={"on_card": True}), 409, "no-outline")
        assert nobody.get(f"{BASE}/sitting").json()["outline_on_card"] is False

    def test_is_on_no_card_of_photos_that_give_none(
        self, service: Service, customer: TestClient
    ) -> None:
        """New photos may lack a level; the card is made all the same."""
        customer.put(self.OUTLINE, json={"on_card": True})
        with sittings.changing(service.store, self.id_of(customer), 30) as change:
            found = FindingsEntry.model_validate(findings())
            change.record = with_entry(change.record, found)
        assert self.shown(customer) == dict.fromkeys(("page", "pdf", "draft"), False)


class TestTheCardByMail:
    """It goes to the address that she was shown, or nowhere."""

    @pytest.fixture
    def mailing(self, tmp_path: Path) -> Iterator[Service]:
        """A service with a mail server."""
        made = begin(tmp_path / "data", smtp_host="mail.example", smtp_sender="mail@loft.example")
        yield made
        made.close()

    @pytest.fixture
    def customer(self, mailing: Service) -> TestClient:
        """Somebody with something on her card."""
        made = mailing.customer(mailing.workroom(), **SHOWN)
        read_all(made)
        return made

    def move(self, mailing: Service, customer: TestClient, address: str) -> None:
        """Let the workroom's address be another one."""
        move_address(mailing.store, customer.get(f"{BASE}/sitting").json()["id"], address)

    def test_goes_where_she_was_told(self, mailing: Service, customer: TestClient) -> None:
        answer = customer.post(MAIL, json=SHOWN)
        assert answer.status_code == 202
        assert mailing.announced == [answer.json()["id"]]

    def test_is_told_when_and_where_it_went_once_it_has(
        self, mailing: Service, customer: TestClient
    ) -> None:
        def sent() -> object:
            return customer.get(f"{BASE}/sitting").json()["card_sent"]

        first = customer.post(MAIL, json=SHOWN).json()["id"]
        assert sent() is None
        at = mailing.clock.now
        end_job(mailing, first, "done", None)
        assert sent() == {"at": at, "address": SHOWN["address"]}
        # Another one that fails leaves the first where it is.
        mailing.clock.now += 60
        second = customer.post(MAIL, json=SHOWN).json()["id"]
        end_job(mailing, second, "failed", None)
        assert sent() == {"at": at, "address": SHOWN["address"]}

    @pytest.mark.parametrize("sent", [{}, {"address": None}, {"address": ["cards@loft.example"]}])
    def test_goes_nowhere_without_an_address(
        self, mailing: Service, customer: TestClient, sent: dict[str, object]
    ) -> None:
        assert customer.post(MAIL, json=sent).json()["code"] == "malformed"
        assert customer.post(MAIL).json()["code"] == "malformed"
        assert mailing.announced == []

    def test_goes_nowhere_when_the_address_is_another_one(
        self, mailing: Service, customer: TestClient
    ) -> None:
        self.move(mailing, customer, "moved@loft.example")
        key = {"Idempotency-Key": "k1"}
        refused = customer.post(MAIL, json=SHOWN, headers=key)
        check_problem(refused, 409, "address-changed", ("moved@loft.example",))
        assert mailing.announced == []
        # The page shows the sitting anew, and she agrees to what it says now.
        seen = customer.get(f"{BASE}/sitting").json()["address"]
        assert seen == "moved@loft.example"
        assert customer.post(MAIL, json={"address": seen}, headers=key).status_code == 202

    def test_is_sent_once_even_if_the_address_has_moved_since(
        self, mailing: Service, customer: TestClient
    ) -> None:
        key = {"Idempotency-Key": "k1"}
        first = customer.post(MAIL, json=SHOWN, headers=key)
        self.move(mailing, customer, "moved@loft.example")
        again = customer.post(MAIL, json=SHOWN, headers=key)
        assert (again.status_code, again.json()) == (202, first.json())
        assert mailing.announced == [first.json()["id"]]
        other = customer.post(MAIL, json={"address": "moved@loft.example"}, headers=key)
        check_problem(other, 422, "key-used-otherwise")


def test_what_a_crooked_tape_adds_is_told_for_a_usual_figure_and_then_for_her_own(
    service: Service,
) -> None:
    customer = service.customer(service.workroom())
    usual = customer.get(f"{BASE}/sitting").json()
    assert list(usual["crooked"]) == list(LEVELS)
    for told in usual["crooked"].values():
        assert [row["drop_mm"] for row in told["rows"]] == list(DROPS_MM)
        assert "a usual figure" in told["words"]
    found = findings()
    found["estimates"]["waist"] |= {"breadth_mm": 280.0, "depth_mm": 190.0, "height_mm": 1040.0}
    with sittings.changing(service.store, usual["id"], 30) as change:
        change.record = with_entry(change.record, FindingsEntry.model_validate(found))
    own = customer.get(f"{BASE}/sitting").json()["crooked"]
    section = Section(280.0, 190.0, USUAL["waist"].growth, own=True)
    assert own["waist"]["words"] == crooked_words(section)
    assert [row["adds_mm"] for row in own["waist"]["rows"]] == [
        pytest.approx(crooked(section, drop_mm).together_mm, abs=0.005) for drop_mm in DROPS_MM
    ]
    assert own["full_hip"] == usual["crooked"]["full_hip"]


def test_how_far_repeats_scatter_is_told_with_the_sitting_and_its_checks(service: Service) -> None:
    customer = service.customer(service.workroom())
    assert customer.get(f"{BASE}/sitting").json()["repeats"] is None
    customer.post(READING, json={"code": "waist", "entries": ["74", "74.6"]})
    told = customer.get(f"{BASE}/sitting").json()["repeats"]
    # sqrt(6^2 / 2) = 4.24 mm
    assert told["technical_error_mm"] == pytest.approx(18**0.5)
    assert told["share"] == pytest.approx(18**0.5 / 743)
    assert told["measurements"] == 1
    assert customer.get(f"{BASE}/sitting/checks").json()["repeats"] == told
    assert told["words"].startswith("Repeats of one measurement scatter by 0.4 cm (1/8 in)")


def test_anybody_is_told_how_each_thing_is_measured(service: Service) -> None:
    told = service.client().get(f"{BASE}/measurements").json()
    assert [one["code"] for one in told] == list(HOW_TOS)
    for one in told:
        how = HOW_TOS[one["code"]]
        parts = [(part["heading"], part["words"]) for part in one["how_to"]["parts"]]
        assert parts == list(how.parts())
        assert one["how_to"]["wrong"] == list(how.wrong)
