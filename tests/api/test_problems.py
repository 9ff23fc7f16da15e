"""Every error is answered in one shape, at every route, and says nothing that is private."""

import ast
import json
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi.testclient import TestClient

from ellwand import errors
from ellwand.api.examples import CASES
from ellwand.api.problems import answer_to
from tests.api.test_description import Operation, operations
from tests.problem_details import CLASSES, check_problem, known_codes, made
from tests.service import BASE, PASSWORD, Service, begin

ID = "0e3c1f6a-7d52-4b8e-9a44-5f2d1c7b8e90"
# Stands in everything that is sent wrongly, and may stand in no answer.
PRIVATE = ("canary", PASSWORD)
SOMEBODY = [one for one in operations() if one.told.get("security")]
HERE = [one for one in operations() if one.path.startswith(BASE)]
WITH_JSON = [
    one for one in operations()
    if "application/json" in one.told.get("requestBody", {}).get("content", {})
]  # fmt: skip
WITH_ID = [one for one in operations() if "_id}" in one.path]
WITH_KEY = [one for one in operations() if "idempotency-key" in one.names("header")]
CHANGING = [one for one in operations() if one.method != "get"]


def each(some: list[Operation]) -> Any:
    """A test for each of some operations."""
    return pytest.mark.parametrize("operation", some, ids=lambda one: one.id)


def path_of(operation: Operation, some_id: str = ID) -> str:
    """Its path, with ids of nothing."""
    ids = dict.fromkeys(("sitting_id", "earlier_id", "job_id", "key_id"), some_id)
    return operation.path.format(**ids, name="canary", paper="a4", language="de")


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """One service for all: what fails changes nothing."""
    made_here = begin(tmp_path_factory.mktemp("shared") / "data")
    yield made_here
    made_here.close()


@pytest.fixture(scope="module")
def known(shared: Service) -> TestClient:
    """Somebody who is both a customer and a workroom."""
    both = shared.workroom("canary", "canary room")
    both.cookies.update(shared.customer(both).cookies)
    return both


@each(SOMEBODY)
def test_nobody_is_told_to_come_in_first(shared: Service, operation: Operation) -> None:
    code = "not-logged-in" if operation.path.startswith(f"{BASE}/workroom") else "no-sitting-open"
    # Who is unknown is not told what her request lacks.
    answer = shared.client().request(operation.method, path_of(operation))
    check_problem(answer, 401, code, PRIVATE)


@each(HERE)
def test_a_page_of_another_site_is_turned_away(known: TestClient, operation: Operation) -> None:
    headers = {"Sec-Fetch-Site": "cross-site", "Origin": "https://canary.example"}
    answer = known.request(operation.method, path_of(operation), headers=headers)
    check_problem(answer, 403, "foreign-page", PRIVATE)


@each(list(operations()))
def test_another_name_is_not_ours(known: TestClient, operation: Operation) -> None:
    headers = {"Host": "canary.example"}
    answer = known.request(operation.method, path_of(operation), headers=headers)
    check_problem(answer, 421, "host-unknown", PRIVATE)


@each(list(operations()))
@pytest.mark.parametrize("method", ["PATCH", "OPTIONS", "TRACE", "CANARY"])
def test_what_cannot_be_done_there_is_said(
    known: TestClient, operation: Operation, method: str
) -> None:
    answer = known.request(method, path_of(operation))
    check_problem(answer, 405, "method-not-allowed", PRIVATE)
    same = [one.method.upper() for one in operations() if one.path == operation.path]
    assert answer.headers["allow"].split(", ") == sorted(same)


@each(WITH_ID)
@pytest.mark.parametrize("wrong", ["canary", "%00", "A" * 36, f"{ID}0", "%F0%9F%92%83"])
def test_what_is_no_id_is_said(known: TestClient, operation: Operation, wrong: str) -> None:
    answer = known.request(operation.method, path_of(operation, wrong))
    check_problem(answer, 400, "malformed", PRIVATE)


@each(WITH_ID)
def test_an_id_of_nothing_is_said(known: TestClient, operation: Operation) -> None:
    answer = known.request(operation.method, path_of(operation))
    check_problem(answer, 404, private=PRIVATE)


@each(WITH_KEY)
@pytest.mark.parametrize("wrong", ["", "canary canary", "canary" * 11, "can\u00e4ry"])
def test_an_idempotency_key_that_is_none_is_said(
    known: TestClient, operation: Operation, wrong: str
) -> None:
    headers = {"Idempotency-Key": wrong.encode("latin-1")}
    answer = known.request(operation.method, path_of(operation), headers=headers)
    check_problem(answer, 400, "malformed", PRIVATE)


@each(WITH_JSON)
@pytest.mark.parametrize(
    "sent",
    [b"", b"canary", b"{", b"[]", b"null", b'"canary"', b"\xff\xfe\x00", b"[" * 20_000,
     b"9" * 5_000, b'{"canary": "canary"}', b'{"code": NaN, "token": Infinity, "login": 1e999}',
     json.dumps(dict.fromkeys(
         ("code", "reason", "token", "login", "password", "label", "unit", "garment"), "\ud800"
     )).encode()],
    ids=lambda one: one[:12].decode("latin-1"),
)  # fmt: skip
def test_a_body_that_is_not_as_described_is_said(
    known: TestClient, operation: Operation, sent: bytes
) -> None:
    headers = {"Content-Type": "application/json"}
    answer = known.request(operation.method, path_of(operation), content=sent, headers=headers)
    check_problem(answer, 400, private=PRIVATE)


@each(CHANGING)
def test_a_body_that_is_far_too_large_is_said(known: TestClient, operation: Operation) -> None:
    if operation.id in ("photos-send_photos", "photos-check_photo"):
        pytest.skip("photos may be large; test_uploads.py tries their limits")
    content = b"canary" * 60_000
    answer = known.request(operation.method, path_of(operation), content=content)
    check_problem(answer, 413, "body-too-large", PRIVATE)


@pytest.mark.parametrize("length", ["9" * 5_000, "-1", "1e9", "\u00b9", "300001"])
def test_a_length_that_is_none_is_no_mistake_of_ours(known: TestClient, length: str) -> None:
    headers = {"Content-Length": length.encode("latin-1"), "Content-Type": "application/json"}
    path = f"{BASE}/sitting/readings"
    answer = known.post(path, content=iter([b"{}"]), headers=headers)
    check_problem(answer, 413 if length.isascii() and length.isdecimal() else 400)


@pytest.mark.parametrize("host", ["[::1", "[", "a b", "localhost:port", "localhost/../", ""])
def test_a_host_that_is_none_is_no_mistake_of_ours(known: TestClient, host: str) -> None:
    answer = known.get(f"{BASE}/measurements", headers={"Host": host})
    if answer.status_code != 200:
        check_problem(answer, 421, "host-unknown")


@pytest.mark.parametrize(
    ("path", "code"),
    [("/canary", "not-found"), (f"{BASE}/canary", "not-found"), ("/page/canary.js", "no-such-page"),
     ("/page/..%2fcanary", "not-found"), ("/%2e%2e/etc/passwd", "not-found")],
)  # fmt: skip
def test_there_is_nothing_elsewhere(known: TestClient, path: str, code: str) -> None:
    check_problem(known.get(path), 404, code, PRIVATE)


FROM_HERE = [one for one in made() if one[2].startswith(("api/", "store/"))]


def text_of(node: ast.expr) -> str:
    """A text as it stands in the code, with X for what is filled in."""
    return str(getattr(node, "value", "X X."))


@pytest.mark.parametrize("one", FROM_HERE, ids=lambda one: f"{one[2]}-{text_of(one[1][0])}")
def test_every_error_of_the_service_has_its_answer(one: tuple[str, list[ast.expr], str]) -> None:
    name, arguments, _ = one
    words = [text_of(node) for node in arguments[:3]]
    status = CLASSES[name] or ast.literal_eval(arguments[3])
    made_again = (
        errors.ServiceProblem(*words, http_status=status)
        if name == "ServiceProblem"
        else getattr(errors, name)(*words)
    )
    answer = answer_to(made_again)
    assert (answer.status_code, answer.media_type) == (status, "application/problem+json")
    body = json.loads(bytes(answer.body))
    assert (body["status"], body["code"], body["title"]) == (status, *words[:2])
    assert words[0] in known_codes()
    # Every status of an error is told of in the description.
    assert status in CASES
    assert ("www-authenticate" in answer.headers) == (status == 401)


@pytest.mark.parametrize("status", sorted(CASES))
def test_an_answer_that_says_when_to_come_again_says_it_in_its_header(status: int) -> None:
    problem = errors.ServiceProblem("busy", "It is.", "Wait.", status, retry_after_s=7)
    assert answer_to(problem).headers["retry-after"] == "7"
