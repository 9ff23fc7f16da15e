"""What every request has to pass, and what every answer carries."""

import logging
from pathlib import Path

import pytest

from ellwand.api import guard
from tests.service import BASE, Service, begin, read_all

OPEN = f"{BASE}/measurements"


class TestHeaders:
    """Every answer tells the browser to be careful."""

    @pytest.mark.parametrize("path", ["/health", OPEN, "/nothing", f"{BASE}/sitting", "/sitting"])
    def test_are_on_every_answer(self, service: Service, path: str) -> None:
        headers = service.client().get(path).headers
        assert headers["content-security-policy"].startswith(
            "default-src 'none'; script-src 'self'"
        )
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cache-control"] == "no-store"
        assert headers["strict-transport-security"] == "max-age=31536000"
        assert "camera=(self)" in headers["permissions-policy"]

    @pytest.mark.parametrize("name", ["style.css", "sitting.js", "pixels_worker.js"])
    def test_a_part_of_the_page_carries_none_that_only_a_document_needs(
        self, service: Service, name: str
    ) -> None:
        headers = service.client().get(f"/page/{name}").headers
        assert headers["content-security-policy"].startswith("default-src 'none'")
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "permissions-policy" not in headers
        assert "cross-origin-opener-policy" not in headers

    def test_https_is_only_promised_over_https(self, service: Service) -> None:
        answer = service.client().get(f"http://localhost{OPEN}")
        assert "strict-transport-security" not in answer.headers

    def test_sheets_to_print_may_be_kept_by_the_browser(self, service: Service) -> None:
        answer = service.client().get(f"{BASE}/reference-sheets/a4.pdf")
        assert answer.headers["cache-control"] == "public, max-age=86400"
        assert answer.content.startswith(b"%PDF-")

    def test_sheets_are_in_the_language_of_their_address_before_that_of_the_browser(
        self, service: Service
    ) -> None:
        address, browser = f"{BASE}/reference-sheets/a4.pdf", service.client()
        of_browser = browser.get(address, headers={"Accept-Language": "de"}).content
        named = browser.get(
            f"{BASE}/reference-sheets/de/a4.pdf", headers={"Accept-Language": "en"}
        ).content
        assert named == of_browser
        assert named != browser.get(address, headers={"Accept-Language": "en"}).content
        assert browser.get(f"{BASE}/reference-sheets/xx/a4.pdf").status_code == 400


class TestOtherSites:
    """A page of another site gets nothing, not even to read."""

    @pytest.mark.parametrize("site", ["cross-site", "same-site"])
    def test_a_browser_that_says_so_is_turned_away(self, service: Service, site: str) -> None:
        answer = service.client().get(OPEN, headers={"Sec-Fetch-Site": site})
        assert (answer.status_code, answer.json()["code"]) == (403, "foreign-page")

    @pytest.mark.parametrize("origin", ["https://evil.example", "null", "http://localhost"])
    def test_an_older_browser_is_known_by_its_origin(self, service: Service, origin: str) -> None:
        customer = service.customer(service.workroom())
        answer = customer.delete(f"{BASE}/sitting", headers={"Origin": origin})
        assert answer.status_code == 403
        assert customer.get(f"{BASE}/sitting").status_code == 200

    def test_our_own_page_is_let_in(self, service: Service) -> None:
        own = {"Sec-Fetch-Site": "same-origin", "Origin": "https://localhost"}
        customer = service.customer(service.workroom())
        assert customer.delete(f"{BASE}/sitting", headers=own).status_code == 204

    def test_a_link_from_elsewhere_opens_the_page(self, service: Service) -> None:
        answer = service.client().get("/sitting", headers={"Sec-Fetch-Site": "cross-site"})
        assert answer.status_code == 200


def test_a_name_that_is_not_ours_is_refused(service: Service) -> None:
    answer = service.client().get(OPEN, headers={"Host": "rebound.example"})
    assert (answer.status_code, answer.json()["code"]) == (421, "host-unknown")


def test_the_public_name_is_ours(tmp_path: Path) -> None:
    service = begin(tmp_path / "data", public_url="https://measure.example")
    answer = service.client().get(OPEN, headers={"Host": "measure.example"})
    assert answer.status_code == 200
    link = service.workroom().post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    assert link.startswith("https://measure.example/sitting#")
    service.close()


@pytest.mark.parametrize("declared", [True, False])
def test_a_body_that_is_far_too_large_is_not_taken_in(service: Service, declared: bool) -> None:
    customer = service.customer(service.workroom())
    large = b"x" * (guard.LARGEST_BODY + 1)
    content = large if declared else iter([large[:1000], large[1000:]])
    answer = customer.post(f"{BASE}/sitting/readings", content=content)
    assert (answer.status_code, answer.json()["code"]) == (413, "body-too-large")


class TestRates:
    """Who asks too often waits."""

    def ask(self, service: Service, times: int, path: str = OPEN) -> list[int]:
        """Ask again and again."""
        client = service.client()
        return [client.get(path).status_code for _ in range(times)]

    def test_one_address(self, tmp_path: Path) -> None:
        service = begin(tmp_path / "data", address_requests_a_minute=3)
        assert self.ask(service, 5) == [200, 200, 200, 429, 429]
        # Whether the service is well can always be asked.
        assert self.ask(service, 2, "/health") == [200, 200]
        late = service.client().get(OPEN)
        assert late.json()["code"] == "too-many-requests"
        assert 1 <= int(late.headers["retry-after"]) <= 60
        service.close()

    def test_guessing_a_password(self, tmp_path: Path) -> None:
        service = begin(tmp_path / "data", tries_a_minute=2)
        guess = {"login": "mara", "password": "a guess of mine"}
        client = service.client()
        answers = [client.post(f"{BASE}/workroom/login", json=guess) for _ in range(3)]
        assert [one.status_code for one in answers] == [401, 401, 429]
        service.close()

    def test_one_customer(self, tmp_path: Path) -> None:
        service = begin(tmp_path / "data", link_requests_a_minute=4)
        workroom = service.workroom()
        one, other = service.customer(workroom), service.customer(workroom)
        seen = [one.get(f"{BASE}/sitting").status_code for _ in range(5)]
        # Stating her consent was the first.
        assert seen == [200, 200, 200, 429, 429]
        assert other.get(f"{BASE}/sitting").status_code == 200
        service.close()


def test_the_log_names_routes_and_nothing_that_was_sent(
    service: Service, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    workroom = service.workroom(login="mara-in-the-log")
    customer = service.customer(workroom, label="name-in-the-log", address="log@loft.example")
    read_all(customer, {"waist": ["73.9"]})
    sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
    workroom.get(f"{BASE}/workroom/sittings/{sitting_id}")
    service.client().get("/path-in-the-log?query-in-the-log")
    told = caplog.text
    assert "POST /sitting/readings 201" in told
    lines = [one.getMessage() for one in caplog.records if one.name.startswith("ellwand")]
    private = (sitting_id, "in-the-log", "log@", "73.9", "739", "127.0.0.1", "button")
    assert [word for word in private for line in lines if word in line] == []


def test_the_framework_tells_nobody_of_requests(service: Service) -> None:
    # It would by itself, as soon as an operator's environment holds something that listens.
    assert not service.app._native_telemetry.enabled()


def test_a_bug_is_told_by_its_place_and_never_by_its_words(
    service: Service, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("her waist is 739")

    monkeypatch.setattr("ellwand.api.customer.confirmed", broken)
    workroom = service.workroom()
    link = workroom.post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    answer = service.client().post(f"{BASE}/entrance", json={"token": link.partition("#")[2]})
    assert (answer.status_code, answer.json()["code"]) == (500, "our-mistake")
    assert "RuntimeError in broken" in caplog.text
    assert "739" not in caplog.text
    assert "739" not in answer.text
