"""What is known of sittings from outside, beside the service: only what was accepted."""

from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from fastapi.testclient import TestClient
from hypothesis.stateful import RuleBasedStateMachine

from tests.service import BASE, Service, begin

ROOMS = ("loft", "yard")


@dataclass
class Mine:
    """What is known of a sitting from outside.

    Args:
        number: which; its decimals and words hold it.
        room: whose customer.
        id: of the sitting.
        token: of the link that opens it now, if any.
        link_ends: when that link ends.
        key: idempotency key that the link was opened with.
        opened_at: when that was.
        browser: that is in, if any.
        raws: what was accepted, by measurement, in order.
        kept: how many readings there were at each accepted keeping.
        words: that nobody else may ever see.
        consented: whether she has.
        job: of photos that are being measured.
        gone: whether it is erased.
    """

    number: int
    room: str
    id: str
    token: str | None
    link_ends: float
    key: str = ""
    opened_at: float | None = None
    browser: TestClient | None = None
    raws: dict[str, list[str]] = field(default_factory=dict)
    kept: dict[str, int] = field(default_factory=dict)
    words: set[str] = field(default_factory=set)
    consented: bool = False
    job: str | None = None
    gone: bool = False


@dataclass(frozen=True)
class Sent:
    """A request that was accepted, to be sent again."""

    mine: Mine
    method: str
    path: str
    body: dict[str, Any]
    key: str
    at: float
    status: int
    answer: bytes


class Beside(RuleBasedStateMachine):
    """A service with two workrooms, and what must hold of every answer."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(mkdtemp(prefix="ellwand-order-"))
        self.service: Service = begin(self.folder / "data", login_hours=100_000)
        self.all: list[Mine] = []
        self.touched: Mine | None = None
        self.keys = 0

    def log_in(self) -> None:
        """Both workrooms log in."""
        self.rooms = {name: self.service.workroom(name, f"room of {name}") for name in ROOMS}

    def checked(self, answer: Any, own: list[Mine]) -> Any:
        """An answer in which nothing of others stands."""
        assert answer.status_code < 500, answer.text
        seen = [
            word for one in self.all if one not in own for word in one.words if word in answer.text
        ]
        assert seen == []
        return answer

    def ask(self, one: Mine, method: str, path: str, **sent: Any) -> Any:
        """Ask as a customer; who is not in gets nothing."""
        self.touched = one
        browser = one.browser or self.service.client()
        answer = self.checked(browser.request(method, f"{BASE}/sitting{path}", **sent), [one])
        if one.browser is None or one.gone:
            assert answer.status_code in (401, 404)
        return answer

    def new_key(self) -> str:
        """An idempotency key that was not used before."""
        self.keys += 1
        return f"key-{self.keys}"

    def room_of(self, one: Mine) -> TestClient:
        """Her workroom's browser."""
        return self.rooms[one.room]

    def forget(self, one: Mine) -> None:
        """It is erased."""
        one.gone, one.token, one.job = True, None, None

    def check_lists(self) -> list[dict[str, Any]]:
        """The lists of both workrooms: each holds its sittings and nothing of the other's."""
        lines = []
        for name, room in self.rooms.items():
            own = [one for one in self.all if one.room == name]
            listed = self.checked(room.get(f"{BASE}/workroom/sittings"), own).json()
            assert {line["id"] for line in listed} == {one.id for one in own if not one.gone}
            lines += listed
        return lines
