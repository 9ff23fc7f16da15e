"""What the OWASP Application Security Verification Standard 5.0 asks, item by item.

The table names, for each id, what is asked in our words, and the tests that hold it; a test that is
not there, or an id without one, fails. What needs words instead says so.
"""

import ast
import io
import re
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from argon2 import Type, extract_parameters
from argon2.profiles import RFC_9106_LOW_MEMORY
from PIL import Image

from ellwand.api.page import page_folder
from ellwand.store import workrooms
from tests.api.measured import REFUSED, TYPED, grey_pair
from tests.api.test_description import operations
from tests.api.test_photos import end_job
from tests.problem_details import check_problem
from tests.service import BASE, ORIGIN, PASSWORD, SHIPPED_HASHER, Service, begin, read_all

TESTS = Path(__file__).parents[1]
HERE = "api/test_asvs.py"
PHOTOS = f"{BASE}/sitting/photos"


@dataclass(frozen=True)
class Item:
    """An item of the standard.

    Args:
        asks: what it asks, in our words.
        tests: where it is held: file under tests/, `::`, name of the test.
        reason: what has to be said beside that.
    """

    asks: str
    tests: tuple[str, ...]
    reason: str = ""


ITEMS = {
    "5.1.1": Item(
        "which kinds and sizes of files are taken is written down",
        (f"{HERE}::test_kinds_and_sizes_of_photos_stand_in_the_description",),
    ),
    "5.2.1": Item(
        "only files of a size that can be handled are taken",
        (
            "api/test_uploads.py::test_a_photo_file_that_is_too_large_is_told_by_view",
            "api/test_uploads.py::test_nothing_is_read_once_the_body_is_over_its_limit",
            "api/test_guard.py::test_a_body_that_is_far_too_large_is_not_taken_in",
        ),
    ),
    "5.2.2": Item(
        "a file is what its content says, and the picture is drawn anew",
        (
            f"{HERE}::test_a_photo_is_what_its_bytes_say",
            "photo/test_headers.py::test_a_file_is_refused_by_its_first_bytes",
            "photo/test_intake.py::test_whatever_is_written_over_a_file_it_opens_or_is_a_problem",
            "end_to_end/test_service.py::test_a_hostile_file_is_answered_with_a_clear_refusal",
        ),
        "The extension and type that are sent with a photo are not looked at: no file is named by "
        "them, kept under them or served again. No picture is written: only numbers leave the "
        "detector.",
    ),
    "5.2.4": Item(
        "how much one user may send is bounded",
        (
            "api/test_photos.py::test_uploads_of_one_customer_are_counted",
            "api/test_photos.py::test_a_second_pair_waits_for_the_first",
            "api/test_workroom.py::test_there_is_an_end_to_blocks",
            "api/test_workroom.py::test_there_is_an_end_to_keys",
        ),
    ),
    "5.2.6": Item(
        "pictures of too many pixels are refused before they are unpacked",
        (
            "photo/test_intake.py::test_a_huge_picture_is_refused_by_its_header_alone",
            "photo/test_intake.py::test_just_fifty_million_pixels_are_not_too_many",
        ),
    ),
    "5.3.1": Item(
        "files that were sent are never run when they are asked for",
        (
            f"{HERE}::test_nothing_that_was_sent_can_be_asked_for_as_a_file",
            "jobs/test_confinement.py::test_only_files_that_are_named_are_seen_and_no_program_runs",
        ),
    ),
    "5.3.2": Item(
        "paths are made here, never of names that were sent",
        (
            f"{HERE}::test_a_photo_is_kept_under_a_name_of_ours",
            f"{HERE}::test_a_file_of_the_page_is_one_of_a_fixed_list",
        ),
    ),
    "5.4.1": Item(
        "names of files that are sent out are made here",
        (f"{HERE}::test_a_file_that_is_sent_out_has_a_fixed_name",),
    ),
    "5.4.2": Item(
        "such a name is written as RFC 6266 has it",
        (f"{HERE}::test_a_file_that_is_sent_out_has_a_fixed_name",),
    ),
    "14.2.1": Item(
        "nothing private stands in an address or its query",
        (
            f"{HERE}::test_no_route_takes_a_query",
            f"{HERE}::test_the_token_of_a_link_never_travels_in_an_address",
            "api/test_guard.py::test_the_log_names_routes_and_nothing_that_was_sent",
        ),
        "Ids of sittings, jobs and keys stand in paths: they are random, open nothing by "
        "themselves (tests/api/test_isolation.py) and are not in the log.",
    ),
    "14.2.3": Item(
        "nothing private goes to third parties",
        (
            f"{HERE}::test_a_page_may_ask_nobody_else",
            "page/test_page_files.py::test_nothing_comes_from_another_place",
            "end_to_end/test_no_connection.py::test_an_estimate_opens_no_connection",
            "jobs/test_confinement.py::test_no_socket_of_any_kind_can_be_opened",
        ),
        "The card goes to the workroom's own address through the operator's mail server, when the "
        "customer sends it.",
    ),
    "14.2.7": Item(
        "what is kept is deleted by itself when its time is over",
        (
            "store/test_erasing.py::test_a_sitting_is_erased_when_its_time_is_over",
            "store/test_erasing.py::test_photos_that_wait_too_long_are_removed_unread",
            "store/test_erasing.py::test_old_answers_are_forgotten",
            "api/test_any_order.py::"
            "test_a_sitting_whose_time_is_over_is_gone_before_anybody_sweeps",
        ),
    ),
    "14.2.8": Item(
        "what a photo says of itself is taken off",
        (
            f"{HERE}::test_nothing_of_a_photos_file_is_shown_or_kept",
            "photo/test_intake.py::test_nothing_else_of_the_file_is_kept",
            "photo/test_headers.py::test_all_but_the_picture_is_left_out",
            "jobs/test_run.py::test_findings_are_noted_with_the_job_and_photos_are_gone",
        ),
        "Of a photo's metadata the focal length is read, and used, never kept; the photo itself is "
        "kept sealed until its job ends.",
    ),
    "14.3.1": Item(
        "the browser forgets when she is done",
        (f"{HERE}::test_the_browser_is_told_to_forget",),
    ),
    "14.3.2": Item(
        "no answer with anything private stays in a cache",
        (
            f"{HERE}::test_no_answer_is_kept_in_a_cache_but_the_sheets",
            "api/test_guard.py::test_are_on_every_answer",
        ),
    ),
    "14.3.3": Item(
        "the page keeps nothing in the browser that is sent",
        (f"{HERE}::test_the_page_keeps_only_what_is_not_sent_yet_in_the_browser",),
        "The cookie, which scripts cannot read, and what she has typed, until it is sent or erased "
        "(tests/end_to_end/test_browser.py).",
    ),
    "3.2.1": Item(
        "an answer is not shown as another kind of document than it is",
        (
            f"{HERE}::test_an_answer_that_is_opened_as_a_page_can_do_nothing",
            "api/test_guard.py::test_a_browser_that_says_so_is_turned_away",
        ),
        "Uploads are never served, so that they need no sandbox of their own.",
    ),
}
# Asked by the issue, and named there without an id.
ALSO = {
    "cookies": Item(
        "Secure, HttpOnly, SameSite=Strict, __Host-, a random secret that is hashed when kept",
        (f"{HERE}::test_cookies_are_for_this_host_over_https_and_no_script",
         "store/test_sittings.py::test_a_link_opens_once"),
    ),
    "other sites' requests": Item(
        "refused by Fetch Metadata and Origin",
        ("api/test_guard.py::test_a_browser_that_says_so_is_turned_away",
         "api/test_guard.py::test_an_older_browser_is_known_by_its_origin",
         "api/test_problems.py::test_a_page_of_another_site_is_turned_away"),
    ),
    "end of a login": Item(
        "by time, by logging out, by a new password; of a customer by erasing or a new browser",
        ("api/test_workroom.py::test_a_login_ends_when_she_logs_out_or_after_its_hours",
         "api/test_workroom.py::test_a_new_password_ends_every_login_and_key",
         "api/test_workroom.py::test_ending_a_link_locks_the_customers_browser_out"),
    ),
    "passwords": Item(
        "hashed with Argon2id at the parameters of RFC 9106; an unknown login takes as long",
        (f"{HERE}::test_a_password_is_hashed_with_argon2id",
         f"{HERE}::test_an_unknown_login_costs_a_hash_too"),
    ),
    "rates": Item(
        "by address, by customer, for guesses, for uploads, and for all jobs",
        ("api/test_guard.py::test_one_address", "api/test_guard.py::test_one_customer",
         "api/test_guard.py::test_guessing_a_password",
         "api/test_photos.py::test_uploads_of_one_customer_are_counted",
         "api/test_photos.py::"
         "test_a_full_queue_turns_photos_away_with_the_time_to_come_again"),
    ),
}  # fmt: skip
ASKED = {
    "3.2.1", "5.1.1", "5.2.1", "5.2.2", "5.2.4", "5.2.6", "5.3.1", "5.3.2", "5.4.1", "5.4.2",
    "14.2.1", "14.2.3", "14.2.7", "14.2.8", "14.3.1", "14.3.2", "14.3.3",
}  # fmt: skip


def test_every_item_is_held() -> None:
    assert set(ITEMS) == ASKED
    for name, item in {**ITEMS, **ALSO}.items():
        assert item.tests, name
        for test in item.tests:
            file, _, function = test.partition("::")
            tree = ast.parse((TESTS / file).read_text("utf-8"))
            names = {one.name for one in ast.walk(tree) if isinstance(one, ast.FunctionDef)}
            assert function in names, f"{name}: {test}"


def test_kinds_and_sizes_of_photos_stand_in_the_description(service: Service) -> None:
    (photos,) = [one.told for one in operations() if one.id == "photos-send_photos"]
    form = photos["requestBody"]["content"]["multipart/form-data"]["schema"]["properties"]
    megabytes = service.settings.photo_bytes // 1_000_000
    for view in ("front", "side"):
        assert f"JPEG or PNG, at most {megabytes} MB" in form[view]["description"]
        assert "50 megapixels" in form[view]["description"]


def test_a_photo_is_what_its_bytes_say(service: Service) -> None:
    customer = service.customer(service.workroom())
    page = b"<!doctype html><script>alert(1)</script>" + bytes(60_000)
    named = {**grey_pair(), "front": ("front.jpg", page, "image/jpeg")}
    refused = customer.post(PHOTOS, files=named, data=TYPED)
    told = check_problem(refused, 422)
    assert told["problems"]["front"][0]["severity"] == "refused"
    misnamed = {
        view: ("front.html", photo, "text/html") for view, (_, photo, _) in grey_pair().items()
    }
    assert customer.post(PHOTOS, files=misnamed, data=TYPED).status_code == 202


def sent(service: Service, name: str = "front.jpg", photo: bytes | None = None) -> Any:
    """A customer who has sent photos."""
    customer = service.customer(service.workroom())
    pair = grey_pair()
    pair["front"] = (name, photo or pair["front"][1], "image/jpeg")
    answer = customer.post(PHOTOS, files=pair, data=TYPED)
    assert answer.status_code == 202
    return customer


def test_nothing_that_was_sent_can_be_asked_for_as_a_file(service: Service) -> None:
    customer = sent(service)
    waiting = list(service.settings.spool.iterdir())
    assert len(waiting) == 2
    for path in waiting:
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        for place in ("", "/page", "/spool", "/api/v1/sitting/photos", "/api/v1/sitting/jobs"):
            assert customer.get(f"{place}/{path.name}").status_code in (400, 404, 405)
    kinds = {
        kind for one in operations() for answer in one.told["responses"].values()
        for kind in answer.get("content", {})
    }  # fmt: skip
    # No picture and no script; the one kind of page is the card, in which none may run.
    assert kinds == {
        "application/json", "application/problem+json", "application/pdf", "application/toml",
        "message/rfc822", "text/html",
    }  # fmt: skip
    pages = [
        one.path for one in operations() for answer in one.told["responses"].values()
        if "text/html" in answer.get("content", {})
    ]  # fmt: skip
    assert {path.rpartition("/")[2] for path in pages} == {"card.html"}
    policy = customer.get(f"{BASE}/sitting/card.html").headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; ")
    assert "script" not in policy


@pytest.mark.parametrize(
    "name", ["../../canary.jpg", "/etc/canary", "canary\\..\\x", "canary%00.png", ".canary", "con"]
)
def test_a_photo_is_kept_under_a_name_of_ours(service: Service, name: str) -> None:
    sent(service, name)
    made = [path for path in service.settings.data.parent.rglob("*") if path.is_file()]
    ours = re.compile(r"[0-9a-f-]{36}\.(front|side)|server\.key|ellwand\.db(-wal|-shm)?")
    assert [path.name for path in made if not ours.fullmatch(path.name)] == []


@pytest.mark.parametrize(
    "name", ["../pyproject.toml", "..%2f..%2fpyproject.toml", "/etc/passwd", "%2e%2e", "x.js%00"]
)
def test_a_file_of_the_page_is_one_of_a_fixed_list(service: Service, name: str) -> None:
    assert service.client().get(f"/page/{name}").status_code == 404


def test_a_file_that_is_sent_out_has_a_fixed_name(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(
        workroom, label='../"; filename="canary.exe', address="cards@loft.example"
    )
    read_all(customer)
    sitting = f"{BASE}/workroom/sittings/{customer.get(f'{BASE}/sitting').json()['id']}"
    # RFC 6266: a type, and a quoted name of plain letters that needs no second form.
    form = re.compile(r'(attachment|inline); filename="[a-z0-9-]+\.(pdf|json|eml)"')
    for client, place in ((customer, f"{BASE}/sitting"), (workroom, sitting)):
        for ending in ("pdf", "json", "eml"):
            told = client.get(f"{place}/card.{ending}").headers["content-disposition"]
            assert told == f'attachment; filename="measurement-card.{ending}"'
            assert form.fullmatch(told)
    sheets = customer.get(f"{BASE}/reference-sheets/letter.pdf").headers["content-disposition"]
    assert sheets == 'inline; filename="marker-sheets-letter.pdf"'
    assert form.fullmatch(sheets)


def test_no_route_takes_a_query(service: Service) -> None:
    assert [one.id for one in operations() if one.names("query")] == []
    # What stands there all the same changes nothing.
    customer = service.customer(service.workroom())
    plain = customer.get(f"{BASE}/sitting")
    assert customer.get(f"{BASE}/sitting?token=canary&id=1").json() == plain.json()


def test_the_token_of_a_link_never_travels_in_an_address(service: Service) -> None:
    link = service.workroom().post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    # Browsers do not send what stands behind the # (RFC 9110, 4.2.5).
    assert re.fullmatch(re.escape(ORIGIN) + r"/sitting#[\w-]{43}", link)
    assert not any("token" in one.path for one in operations())


def test_a_page_may_ask_nobody_else(service: Service) -> None:
    told = service.client().get("/sitting").headers["content-security-policy"]
    policy = dict(part.strip().split(" ", 1) for part in told.split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["connect-src"] == policy["form-action"] == policy["script-src"] == "'self'"
    assert set(" ".join(policy.values()).split()) == {"'none'", "'self'", "blob:", "data:"}


def test_nothing_of_a_photos_file_is_shown_or_kept(service: Service) -> None:
    noted, picture = Image.Exif(), Image.new("L", (1200, 1600), 128)
    noted[0x010E], noted[0x013B] = "canary description", "canary artist"
    kept = io.BytesIO()
    picture.save(kept, "JPEG", exif=noted, comment=b"canary comment")
    customer = sent(service, "canary.jpg", kept.getvalue())
    (job_id,) = service.announced
    end_job(service, job_id, "refused", REFUSED)
    seen = customer.get(f"{BASE}/sitting").text + customer.get(f"{BASE}/sitting/card.json").text
    files = [path for path in service.settings.data.rglob("*") if path.is_file()]
    assert "canary" not in seen
    assert [path.name for path in files if b"canary" in path.read_bytes()] == []
    assert list(service.settings.spool.iterdir()) == []


def test_the_browser_is_told_to_forget(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    for answer in (
        customer.delete(f"{BASE}/sitting"), workroom.post(f"{BASE}/workroom/logout")
    ):  # fmt: skip
        assert answer.headers["clear-site-data"] == '"cache", "cookies", "storage"'
        assert "Max-Age=0" in answer.headers["set-cookie"]


def test_no_answer_is_kept_in_a_cache_but_the_sheets(service: Service) -> None:
    workroom = service.workroom()
    both = service.customer(workroom, address="cards@loft.example")
    both.cookies.update(workroom.cookies)
    read_all(both)
    own = both.get(f"{BASE}/sitting").json()["id"]
    ids = {"sitting_id": own, "earlier_id": own, "job_id": "0" * 8}
    for one in operations():
        if one.method != "get":
            continue
        path = one.path.format(**ids, name="none", paper="a4", language="de", key_id="none")
        told = both.get(path).headers["cache-control"]
        assert told == ("public, max-age=86400" if "reference-sheets" in path else "no-store")


@pytest.mark.parametrize("file", sorted(page_folder().glob("*.js")), ids=lambda one: one.name)
def test_the_page_keeps_only_what_is_not_sent_yet_in_the_browser(file: Path) -> None:
    kept = re.compile(
        r"localStorage|sessionStorage|indexedDB|document\.cookie|\bcaches\b|serviceWorker"
        r"|showSaveFilePicker|cookieStore"
    )
    allowed = {"localStorage"} if file.name == "unsent.js" else set()
    assert set(kept.findall(file.read_text("utf-8"))) == allowed


def test_an_answer_that_is_opened_as_a_page_can_do_nothing(service: Service) -> None:
    customer = service.customer(service.workroom())
    for path in (f"{BASE}/sitting", f"{BASE}/sitting/card.pdf", f"{BASE}/canary"):
        headers = customer.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["content-security-policy"].startswith("default-src 'none'")
        assert headers["content-type"].split(";")[0] in (
            "application/json", "application/pdf", "application/problem+json",
        )  # fmt: skip
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["x-frame-options"] == "DENY"


def test_cookies_are_for_this_host_over_https_and_no_script(
    service: Service, tmp_path: Path
) -> None:
    link = service.workroom().post(f"{BASE}/workroom/invitations", json={}).json()["link"]
    sent_in = {"token": link.partition("#")[2]}
    entered = service.client().post(f"{BASE}/entrance", json=sent_in)
    login = {"login": "mara", "password": PASSWORD}
    logged_in = service.client().post(f"{BASE}/workroom/login", json=login)
    for answer, name, seconds in (
        (entered, "__Host-sitting", 400 * 86_400), (logged_in, "__Host-workroom", 12 * 3600)
    ):  # fmt: skip
        (cookie,) = answer.headers.get_list("set-cookie")
        secret, *attributes = cookie.split("; ")
        # 256 random bits (43 letters of base64).
        assert re.fullmatch(rf"{name}=[\w-]{{43}}", secret)
        expected = {"HttpOnly", "Secure", "Path=/", "SameSite=strict", f"Max-Age={seconds}"}
        assert set(attributes) == expected
    trial = begin(tmp_path / "trial", trial_without_https=True)
    trial.workroom()
    told = trial.client().post(f"{BASE}/workroom/login", json=login).headers["set-cookie"]
    assert told.startswith("workroom-trial=")
    assert "Secure" not in told
    trial.close()


def test_a_password_is_hashed_with_argon2id(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workrooms, "_HASHER", SHIPPED_HASHER)
    with service.store.writing() as session:
        workrooms.add_workroom(service.store, session, "mara", PASSWORD, "Loft room")
    with service.store.reading() as session:
        _, kept = workrooms.password_hash_of(service.store, session, "mara")
    parameters = extract_parameters(kept)
    # RFC 9106, 4: 64 MiB, three passes, four lanes, a salt of 128 bits.
    assert parameters.type is Type.ID
    assert parameters == RFC_9106_LOW_MEMORY
    assert (parameters.memory_cost, parameters.time_cost, parameters.salt_len) == (65_536, 3, 16)
    assert PASSWORD not in kept
    assert workrooms.fits(PASSWORD, kept)
    assert not workrooms.fits(PASSWORD + "x", kept)


def test_an_unknown_login_costs_a_hash_too(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    fits = workrooms.fits

    def counting(password: str, password_hash: str) -> bool:
        asked.append(password_hash)
        return fits(password, password_hash)

    monkeypatch.setattr("ellwand.store.workrooms.fits", counting)
    service.workroom()
    asked.clear()
    for login in ("mara", "nobody"):
        guess = {"login": login, "password": "a guess of mine"}
        answer = service.client().post(f"{BASE}/workroom/login", json=guess)
        check_problem(answer, 401, "login-wrong")
    assert len(asked) == 2
    # Both cost the same.
    assert len({one.split("$")[3] for one in asked}) == 1
