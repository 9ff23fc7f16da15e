"""The description for programs is valid, says all of every operation, and shows what is accepted.

Source: OpenAPI Specification 3.1 (JSON Schema 2020-12).
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from http import HTTPStatus
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import pytest
import schemathesis
from jsonschema import Draft202012Validator

import ellwand
from ellwand.api import examples
from ellwand.api.problems import MEDIA_TYPE
from tests.service import BASE, Service, begin, read_all

PROBLEM = {"schema": {"$ref": "#/components/schemas/ProblemDetails"}}
# Done twice they are as if done once, so they take no idempotency key.
NEEDS_NO_KEY = {
    "workroom-log_in": "makes a login of its own each time",
    "card-compare_card": "compares, and keeps nothing, not even its answer",
    "workroom-log_out": "ends the login that asks",
    "photos-check_setup": "keeps nothing",
    "workroom-check_block": "keeps nothing",
    "workroom-put_block": "puts one file in the place of another",
}
FOR_ANYBODY = {"sitting-open_link", "workroom-log_in"}


class Operation(NamedTuple):
    """An operation as it is described."""

    path: str
    method: str
    told: dict[str, Any]

    @property
    def id(self) -> str:
        """Its name."""
        return str(self.told["operationId"])

    def names(self, place: str) -> dict[str, Any]:
        """Its parameters in a place."""
        return {one["name"]: one for one in self.told.get("parameters", []) if one["in"] == place}


@cache
def document() -> dict[str, Any]:
    """The description as a program gets it."""
    with TemporaryDirectory() as folder:
        service = begin(Path(folder) / "data")
        found: dict[str, Any] = service.client().get(f"{BASE}/openapi.json").json()
        service.close()
    return found


def operations() -> Iterator[Operation]:
    """All operations."""
    for path, methods in document()["paths"].items():
        for method, told in methods.items():
            yield Operation(path, method, told)


def validator(schema: dict[str, Any]) -> Draft202012Validator:
    """Checks a value by a schema of the document, which may point to others in it."""
    return Draft202012Validator(
        {**schema, "components": document()["components"]},
        format_checker=Draft202012Validator.FORMAT_CHECKER,
    )


def shown(place: dict[str, Any]) -> list[Any]:
    """Examples beside or inside a schema."""
    schema = place.get("schema", {})
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        schema = document()["components"]["schemas"][name]
    beside = [one["value"] for one in place.get("examples", {}).values()]
    alone = [place["example"]] if "example" in place else []
    return [*beside, *alone, *schema.get("examples", [])]


each = pytest.mark.parametrize("operation", list(operations()), ids=lambda one: one.id)


def test_the_document_is_valid_openapi_3_1() -> None:
    assert document()["openapi"].startswith("3.1.")
    schemathesis.openapi.from_dict(document()).validate()
    for name, schema in document()["components"]["schemas"].items():
        Draft202012Validator.check_schema(schema)
        assert schema.get("description"), name


def test_it_points_to_nothing_that_is_not_there() -> None:
    schemas = document()["components"]["schemas"]
    pointed = set(re.findall(r"#/components/schemas/([\w-]+)", str(document())))
    assert pointed == set(schemas)
    assert "HTTPValidationError" not in schemas


def test_a_name_belongs_to_one_operation_and_each_tag_is_described() -> None:
    names = [one.id for one in operations()]
    assert len(names) == len(set(names)) >= 38
    assert {tag["name"] for tag in document()["tags"] if tag["description"]} == {
        tag for one in operations() for tag in one.told["tags"]
    }


@each
def test_each_operation_says_in_words_what_it_does(operation: Operation) -> None:
    told = operation.told
    assert re.fullmatch(r"[A-Z].*[^.]", told["summary"])
    assert re.fullmatch(r"[A-Z].*[.]", told["description"], re.DOTALL)
    assert len(told["tags"]) == 1
    for name, one in {**operation.names("path"), **operation.names("header")}.items():
        assert one["description"], name
    for status, answer in told["responses"].items():
        assert answer["description"] not in ("", "Successful Response"), status


@each
def test_each_operation_says_who_may_ask(operation: Operation) -> None:
    asked = [name for one in operation.told.get("security", []) for name in one]
    path = operation.path.removeprefix(BASE)
    if operation.id in FOR_ANYBODY or operation.told["tags"][0] in ("public", "health"):
        assert asked == []
    elif path.startswith("/workroom"):
        assert asked == ["workroom", "program"]
    else:
        assert asked == ["sitting"]
    assert set(asked) <= set(document()["components"]["securitySchemes"])
    assert ("401" in operation.told["responses"]) == bool(
        asked or operation.id == "workroom-log_in"
    )


@each
def test_each_error_is_a_problem_detail_with_an_example(operation: Operation) -> None:
    for status, answer in operation.told["responses"].items():
        if status < "400" or (operation.id, status) == ("health-ready", "503"):
            continue
        assert set(answer["content"]) == {MEDIA_TYPE}
        content = answer["content"][MEDIA_TYPE]
        assert content["schema"] == PROBLEM["schema"]
        validator(content["schema"]).validate(content["example"])
        assert content["example"]["status"] == int(status)
        headers = set(answer["headers"])
        assert ("WWW-Authenticate" in headers) == (status == "401")
        assert ("Retry-After" in headers) == (status in ("409", "429", "503"))


@each
def test_each_operation_names_the_errors_that_all_have(operation: Operation) -> None:
    statuses = set(operation.told["responses"])
    expected = {"421", "500"}
    if operation.path.startswith(BASE):
        expected |= {"403", "429"}
    if operation.told.get("parameters") or "requestBody" in operation.told:
        expected |= {"400"}
    if operation.method != "get":
        expected |= {"413"}
    assert expected <= statuses
    assert len([one for one in statuses if one < "300"]) == 1


@each
def test_what_makes_something_new_takes_an_idempotency_key(operation: Operation) -> None:
    takes = "idempotency-key" in operation.names("header")
    may = operation.method in ("post", "put") and operation.id not in NEEDS_NO_KEY
    assert takes == may
    if takes:
        schema = operation.names("header")["idempotency-key"]["schema"]
        (words,) = [one for one in schema["anyOf"] if one["type"] == "string"]
        assert (words["minLength"], words["maxLength"]) == (1, 64)


@each
def test_each_answer_says_its_kind_and_its_headers(operation: Operation) -> None:
    ((status, answer),) = [one for one in operation.told["responses"].items() if one[0] < "300"]
    headers = answer.get("headers", {})
    assert bool(answer.get("content")) == (status != "204")
    for content in answer.get("content", {}).values():
        assert content["schema"], "an answer without a shape"
    expected: set[str] = set()
    if status == "202":
        expected = {"Location", "Retry-After"}
    if operation.id == "photos-see_job":
        expected = {"Retry-After"}
    if operation.id in FOR_ANYBODY:
        expected = {"Set-Cookie"}
    if operation.id in ("sitting-erase", "workroom-log_out"):
        expected = {"Set-Cookie", "Clear-Site-Data"}
    if operation.path.endswith((".pdf", ".eml", "/card.json", ".toml")):
        expected = {"Content-Disposition"}
    assert set(headers) == expected
    assert all(one["description"] and one["schema"] for one in headers.values())


@each
def test_each_example_is_accepted_by_its_own_schema(operation: Operation) -> None:
    body = operation.told.get("requestBody", {})
    places = [*body.get("content", {}).values(), *operation.told.get("parameters", [])]
    for place in places:
        assert shown(place), "an input without an example"
        for example in shown(place):
            validator(place["schema"]).validate(example)


@pytest.mark.parametrize(
    "schema", document()["components"]["schemas"].values(), ids=document()["components"]["schemas"]
)
def test_each_example_within_a_shape_is_accepted_there(schema: dict[str, Any]) -> None:
    for example in schema.get("examples", []):
        validator(schema).validate(example)
    for part in schema.get("properties", {}).values():
        for example in part.get("examples", []):
            validator(part).validate(example)


class TestExamplesOfErrors:
    """They are what the code says, word for word."""

    def said(self) -> set[tuple[Any, ...]]:
        """Code, sentence, advice and status of every problem of the service."""
        calls = [
            node.args
            for path in Path(ellwand.__file__).parent.rglob("*.py")
            for node in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in ("ServiceProblem", "EntryProblem")
        ]
        # What is filled in at run time is None here; an entry's problem has always the same status.
        told = [[getattr(one, "value", None) for one in arguments] for arguments in calls]
        return {(*one[:3], one[3] if len(one) > 3 else 422) for one in told}

    @pytest.mark.parametrize("status", examples.CASES)
    def test_are_true(self, status: int) -> None:
        case = examples.CASES[status]
        assert HTTPStatus(status) >= 400
        if case.code in ("malformed", "our-mistake"):
            return
        # How long to wait is filled in.
        detail = None if status == 429 else case.detail
        assert (case.code, case.title, detail, status) in self.said()

    def test_malformed_and_our_mistake_are_answered_so(
        self, service: Service, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        customer = service.customer(service.workroom())
        answers = {400: customer.post(f"{BASE}/sitting/readings", json={}).json()}
        monkeypatch.setattr("ellwand.api.customer.confirmed", lambda _: 1 / 0)
        answers[500] = customer.get(f"{BASE}/sitting/checks").json()
        for status, answer in answers.items():
            case = examples.CASES[status]
            told = (answer["code"], answer["title"], answer["detail"])
            assert told == (case.code, case.title, case.detail)


class TestExamplesOfBodies:
    """Who sends them as they stand gets an answer to them, and no complaint about their form."""

    def example(self, name: str) -> Any:
        """The example of an operation's body."""
        (told,) = [one.told for one in operations() if one.id == name]
        ((_, content),) = told["requestBody"]["content"].items()
        return shown(content)[0]

    def test_of_a_customer(self, service: Service) -> None:
        customer = service.customer(service.workroom(), consent=False)
        for name, path, status in (
            ("sitting-consent", "consent", 200),
            ("sitting-add_readings", "readings", 201),
            ("sitting-decide_size", "decision", 200),
        ):
            if name == "sitting-decide_size":
                read_all(customer)
            answer = customer.post(f"{BASE}/sitting/{path}", json=self.example(name))
            assert (name, answer.status_code) == (name, status)
        odd = {"code": "waist", "entries": ["130"], "instead": True}
        customer.post(f"{BASE}/sitting/readings", json=odd)
        kept = customer.post(f"{BASE}/sitting/keeps", json=self.example("sitting-add_keep"))
        assert kept.status_code == 201
        unit = customer.put(f"{BASE}/sitting/unit", json=self.example("sitting-choose_unit"))
        assert unit.status_code == 200
        opened = service.client().post(f"{BASE}/entrance", json=self.example("sitting-open_link"))
        assert opened.json()["code"] == "link-unknown"

    def test_of_a_workroom(self, service: Service) -> None:
        workroom = service.workroom("mara")
        room = f"{BASE}/workroom"
        for name, path, status in (
            ("workroom-log_in", "login", 200),
            ("workroom-invite", "invitations", 201),
            ("workroom-make_key", "keys", 201),
        ):
            answer = workroom.post(f"{room}/{path}", json=self.example(name))
            assert (name, answer.status_code) == (name, status)
        put = workroom.put(
            f"{room}/blocks/own", content=self.example("workroom-put_block"),
            headers={"Content-Type": "application/toml"},
        )  # fmt: skip
        assert put.status_code == 200
