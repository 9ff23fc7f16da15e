"""Whatever a program sends, the answer is one that the description tells of.

Requests are made from the description itself: its examples, values at and beyond every limit, and
random ones, right and wrong. `ELLWAND_FUZZ` sets how many random ones are made for an operation.
"""

import atexit
import os
from collections.abc import Callable
from functools import cache
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.config import SchemathesisConfig
from schemathesis.core.parameters import ParameterLocation

from tests.api.measured import REFUSED, TYPED, findings, grey_pair
from tests.api.test_photos import end_job
from tests.service import BASE, ORIGIN, Service, begin, read_all

EXAMPLES = int(os.environ.get("ELLWAND_FUZZ", "6"))
# Words that fit their form may still be none that this sitting or workroom has, be spent, say what
# is no length, or come while a job is under way: 404, 410, 422 and 409. All is well-formed then.
FITTING = ["2xx", "401", "403", "404", "409", "410", "422"]
CHECKS = {"positive_data_acceptance": {"expected-statuses": FITTING}}
RANDOM_ONLY = {"examples": {"enabled": False}, "coverage": {"enabled": False}}


@cache
def service() -> Service:
    """One service for all, because requests are made from its description before any test runs."""
    folder = Path(mkdtemp(prefix="ellwand-fuzz-"))
    # Nobody does the jobs here, so there is room for as many as are asked for.
    begun = begin(
        folder / "data", most_waiting_jobs=1_000_000,
        smtp_host="mail.example", smtp_sender="mail@loft.example",
    )  # fmt: skip
    atexit.register(rmtree, folder, ignore_errors=True)
    atexit.register(begun.close)
    return begun


def described(**phases: Any) -> Any:
    """The description, to make requests from."""
    config = SchemathesisConfig.from_dict({"checks": CHECKS, "phases": phases})
    return schemathesis.openapi.from_asgi(
        f"{BASE}/openapi.json", service().app, config=config, headers={"Host": "localhost"}
    )


@schemathesis.serializer("application/toml")
def _as_toml(_: Any, value: Any) -> Any:
    """Send a block file as it is."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "surrogatepass")


def _is_wrong(case: Any, place: ParameterLocation) -> bool:
    """Whether a part of a request was made wrong on purpose."""
    part = case.meta.components.get(place) if case.meta else None
    return part is not None and part.mode.is_negative


class Caller:
    """Somebody who asks, and who comes back when what she asked for has locked her out.

    Args:
        enter: opens what she has, and gives her cookies and ids of things there.
    """

    def __init__(self, enter: Callable[[], tuple[dict[str, str], dict[str, str]]]) -> None:
        self._enter = enter
        self.cookies, self.ids = enter()

    def ask(self, case: Any) -> None:
        """Send a request, as it was made and once more with ids that there are."""
        self._send(case)
        own = {name: one for name, one in self.ids.items() if name in (case.path_parameters or {})}
        if own and not _is_wrong(case, ParameterLocation.PATH):
            case.path_parameters.update(own)
            self._send(case)

    def _send(self, case: Any) -> None:
        # That the cookie is missing may be the very thing that is tried.
        cookies = {} if _is_wrong(case, ParameterLocation.COOKIE) else dict(self.cookies)
        answer = case.call_and_validate(base_url=ORIGIN, cookies=cookies)
        changed = answer.status_code < 300 and case.method in ("DELETE", "POST")
        lost = ("/sitting", "/logout", "/link", "/sittings/{sitting_id}", "/keys/{key_id}")
        if self.cookies and changed and case.operation.path.endswith((*lost, "/photos", "/mail")):
            self.cookies, self.ids = self._enter()


def as_customer() -> tuple[dict[str, str], dict[str, str]]:
    """A customer with all there can be in a sitting."""
    room = service().workroom("fuzzed", "Fuzz room")
    customer = service().customer(room, address="cards@loft.example", asked=["waist", "wrist"])
    read_all(customer)
    for ending, outcome in (("refused", REFUSED), ("done", findings())):
        job = customer.post(f"{BASE}/sitting/photos", files=grey_pair(), data=TYPED).json()
        end_job(service(), job["id"], ending, outcome)  # type: ignore[arg-type]
    customer.post(f"{BASE}/sitting/decision", json={})
    return dict(customer.cookies), {"job_id": job["id"]}


def as_workroom() -> tuple[dict[str, str], dict[str, str]]:
    """A workroom with a block, a key and a sitting."""
    room = service().workroom("fuzzing", "Loft room")
    sitting = room.post(f"{BASE}/workroom/invitations", json={}).json()
    key = room.post(f"{BASE}/workroom/keys", json={"label": "order book"}).json()
    block = (Path(__file__).parents[2] / "service/ellwand/sizing/demo_block.toml").read_text()
    room.put(f"{BASE}/workroom/blocks/own", content=block)
    return dict(room.cookies), {
        "sitting_id": sitting["id"],
        "earlier_id": sitting["id"],
        "key_id": key["id"],
        "name": "own",
    }


@pytest.fixture(scope="module")
def customer() -> Caller:
    """A customer."""
    return Caller(as_customer)


@pytest.fixture(scope="module")
def workroom() -> Caller:
    """A workroom."""
    return Caller(as_workroom)


@pytest.fixture(scope="module")
def nobody() -> Caller:
    """Somebody whom the service does not know."""
    return Caller(lambda: ({}, {}))


whole, random_only = described(), described(**RANDOM_ONLY)
SITTING, WORKROOM = rf"^{BASE}/(sitting|entrance)", rf"^{BASE}/workroom"


def bounded(examples: int) -> Callable[[Any], Any]:
    """As many requests, and the same ones each time."""
    return settings(
        max_examples=examples,
        derandomize=True,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )


@whole.include(path_regex=SITTING).parametrize()
@bounded(EXAMPLES)
def test_a_customer_gets_what_is_described(case: Any, customer: Caller) -> None:
    customer.ask(case)


@whole.include(path_regex=WORKROOM).parametrize()
@bounded(EXAMPLES)
def test_a_workroom_gets_what_is_described(case: Any, workroom: Caller) -> None:
    workroom.ask(case)


@random_only.include(path_regex=WORKROOM).parametrize()
@bounded(max(1, EXAMPLES // 3))
def test_a_customer_gets_what_is_described_from_the_workrooms_side(
    case: Any, customer: Caller
) -> None:
    customer.ask(case)


@random_only.include(path_regex=SITTING).parametrize()
@bounded(max(1, EXAMPLES // 3))
def test_a_workroom_gets_what_is_described_from_the_customers_side(
    case: Any, workroom: Caller
) -> None:
    workroom.ask(case)


@random_only.parametrize()
@bounded(max(1, EXAMPLES // 3))
def test_nobody_gets_what_is_described(case: Any, nobody: Caller) -> None:
    nobody.ask(case)
