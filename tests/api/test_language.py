"""Another language: what is asked for with a request, and what a sitting keeps."""

import json

import pytest

from ellwand.api.preferring import preferred
from ellwand.language import LANGUAGES, WRITTEN_IN, gettext, speaking
from tests.service import BASE, Service, read_all

GERMAN = {"Accept-Language": "de"}
SITTING = f"{BASE}/sitting"


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-AT, de;q=0.9, en;q=0.5", "de"),
        ("en-GB, de;q=0.9", "en"),
        ("fr, it;q=0.9", "en"),
        ("fr, de;q=0.3, en;q=0.2", "de"),
        ("DE", "de"),
        ("de;q=0", "en"),
        ("de;q=much", "en"),
        ("*", "en"),
        (";;,,=", "en"),
        ("dental", "en"),
    ],
)
def test_which_language_a_browser_likes_best(header: str, language: str) -> None:
    assert preferred(header) == language


def test_an_error_is_told_in_the_language_that_was_asked_for(service: Service) -> None:
    asked = service.client()
    english = asked.get(SITTING).json()
    german = asked.get(SITTING, headers=GERMAN).json()
    assert english["title"] == "This browser has no sitting open."
    with speaking("de"):
        assert german["title"] == gettext("This browser has no sitting open.")
    assert german["title"] != english["title"]
    assert german["code"] == english["code"]


def test_a_page_of_a_language_has_its_texts(service: Service) -> None:
    browser = service.client()
    for name in ("sitting", "workroom"):
        english, german = browser.get(f"/{name}").text, browser.get(f"/de/{name}").text
        assert '<html lang="en">' in english
        assert '<html lang="de">' in german
        # Tags are the same, but for the words of the scripts, which are asked for at once.
        assert english.count("<") + 1 == german.count("<")
        assert 'href="/page/words.de.js"' in german
        assert "JavaScript" in german
        assert "This page needs JavaScript" not in german
    assert browser.get("/xx/sitting").status_code == 404


def test_where_to_begin_depends_on_the_browser(service: Service) -> None:
    browser = service.client(follow_redirects=False)
    assert browser.get("/").headers["location"] == "/sitting"
    assert browser.get("/", headers=GERMAN).headers["location"] == "/de/sitting"


def test_the_words_of_the_scripts_are_a_script(service: Service) -> None:
    browser = service.client()
    answer = browser.get("/page/words.de.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    words = json.loads(answer.text.removeprefix("export default ").rstrip(";\n"))
    assert words["decimal mark"] == ","
    assert browser.get("/page/words.en.js").status_code == 404


def test_a_link_leads_to_the_page_in_the_language_of_the_invitation(service: Service) -> None:
    workroom = service.workroom()
    for language in LANGUAGES:
        made = workroom.post(f"{BASE}/workroom/invitations", json={"language": language}).json()
        begins = "/sitting#" if language == WRITTEN_IN else f"/{language}/sitting#"
        assert begins in made["link"]
        renewed = workroom.post(f"{BASE}/workroom/invitations/{made['id']}/link").json()
        assert begins in renewed["link"]


def test_what_is_said_of_her_numbers_is_kept_in_the_language_of_the_sitting(
    service: Service,
) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom, language="de")
    sent = {"code": "waist", "entries": ["31 cm"]}
    (query,) = customer.post(f"{SITTING}/readings", json=sent).json()["queries"]
    assert query["sentence"].startswith("Sie haben ")
    # Whoever asks, and in whatever language: it is what stands in the sitting.
    kept = customer.get(SITTING, headers={"Accept-Language": "en"}).json()
    assert kept["queries"][0]["sentence"] == query["sentence"]


def test_another_language_says_anew_what_is_in_doubt(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    customer.post(f"{SITTING}/readings", json={"code": "waist", "entries": ["31 cm"]})
    assert customer.get(SITTING).json()["queries"][0]["sentence"].startswith("You entered ")
    german = customer.put(f"{SITTING}/language", json={"language": "de"}).json()
    assert german["language"] == "de"
    assert german["queries"][0]["sentence"].startswith("Sie haben ")
    back = customer.put(f"{SITTING}/language", json={"language": "en"}).json()
    assert back["queries"][0]["sentence"].startswith("You entered ")


def test_another_language_decides_again_what_was_decided(service: Service) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    read_all(customer)
    # Another one than the block's first, which the invitation leaves open.
    english = customer.post(f"{SITTING}/decision", json={"garment": "camisole"}).json()
    assert english["garment"] == "camisole"
    customer.put(f"{SITTING}/language", json={"language": "de"})
    german = customer.get(f"{SITTING}/decision").json()
    assert german["size"]["name"] == english["size"]["name"]
    assert german["size"]["reason"] != english["size"]["reason"]
    customer.put(f"{SITTING}/language", json={"language": "en"})
    assert customer.get(f"{SITTING}/decision").json() == english


def test_a_language_that_is_not_spoken_is_refused(service: Service) -> None:
    customer = service.customer(service.workroom())
    assert customer.put(f"{SITTING}/language", json={"language": "xx"}).status_code == 400
    assert customer.get(SITTING).json()["language"] == "en"
