"""A workroom's login, its keys for programs, and its blocks."""

from importlib.resources import files

import pytest

from ellwand.errors import ServiceProblem
from ellwand.sizing import demo_block
from ellwand.store import workrooms
from ellwand.store.engine import Store
from ellwand.store.workrooms import MOST_BLOCKS, MOST_KEYS, Workroom

from .kept import Clock, workroom

PASSWORD = "two words and a button"  # noqa: S105


@pytest.fixture(scope="module")
def toml() -> bytes:
    """The demo block's file."""
    return files("ellwand.sizing").joinpath("demo_block.toml").read_bytes()


@pytest.fixture
def owner(store: Store) -> Workroom:
    """A workroom without a password."""
    owner_id = workroom(store)
    with store.reading() as session:
        return workrooms.workroom(store, session, owner_id)


def test_a_login_opens_with_its_password_alone(store: Store) -> None:
    with store.writing() as session:
        made = workrooms.add_workroom(store, session, "Mara ", PASSWORD, "Loft room")
    with store.reading() as session:
        assert workrooms.workroom_of_login(store, session, "mara").id == made
        known, password_hash = workrooms.password_hash_of(store, session, "MARA")
        nobody, other_hash = workrooms.password_hash_of(store, session, "nobody")
    assert (known, nobody) == (made, None)
    assert workrooms.fits(PASSWORD, password_hash)
    assert not workrooms.fits(PASSWORD + " ", password_hash)
    assert not workrooms.fits(PASSWORD, other_hash)
    assert PASSWORD not in password_hash


def test_a_new_password_ends_all_logins_and_keys(store: Store, owner: Workroom) -> None:
    with store.writing() as session:
        _, secret = workrooms.add_key(store, session, owner, "program", "till", None)
        assert workrooms.workroom_of_key(store, session, "program", secret) is not None
        workrooms.add_workroom(store, session, "mara", PASSWORD, "Loft room")
    with store.reading() as session:
        assert workrooms.workroom_of_key(store, session, "program", secret) is None


@pytest.mark.parametrize(
    ("login", "password", "name", "code"),
    [
        ("mara", "short", "Loft room", "password-length"),
        ("mara", "x" * 257, "Loft room", "password-length"),
        (" ", PASSWORD, "Loft room", "workroom-name"),
        ("mara", PASSWORD, " ", "workroom-name"),
        ("m" * 81, PASSWORD, "Loft room", "workroom-name"),
    ],
)
def test_words_that_cannot_be_used_are_refused(
    store: Store, login: str, password: str, name: str, code: str
) -> None:
    with store.writing() as session, pytest.raises(ServiceProblem) as caught:
        workrooms.add_workroom(store, session, login, password, name)
    assert caught.value.code == code


def test_an_unknown_login_is_told(store: Store) -> None:
    with store.reading() as session, pytest.raises(ServiceProblem) as caught:
        workrooms.workroom_of_login(store, session, "nobody")
    assert caught.value.code == "no-such-workroom"


def test_a_login_ends_with_time_and_a_key_when_it_is_ended(
    store: Store, owner: Workroom, clock: Clock
) -> None:
    with store.writing() as session:
        _, browser = workrooms.add_key(store, session, owner, "browser", "", 12)
        key_id, program = workrooms.add_key(store, session, owner, "program", "till", None)
        assert workrooms.workroom_of_key(store, session, "program", browser) is None
        assert [one.label for one in workrooms.program_keys(session, owner)] == ["till"]
    clock.now += 12 * 3600 - 1
    with store.reading() as session:
        assert workrooms.workroom_of_key(store, session, "browser", browser) is not None
    clock.now += 2
    with store.writing() as session:
        assert workrooms.workroom_of_key(store, session, "browser", browser) is None
        assert workrooms.end_key(session, owner, key_id)
        assert not workrooms.end_key(session, owner, key_id)
        assert workrooms.workroom_of_key(store, session, "program", program) is None


def test_there_is_an_end_to_keys(store: Store, owner: Workroom) -> None:
    with store.writing() as session:
        for number in range(MOST_KEYS):
            workrooms.add_key(store, session, owner, "program", str(number), None)
        with pytest.raises(ServiceProblem) as caught:
            workrooms.add_key(store, session, owner, "program", "one more", None)
    assert caught.value.code == "too-many-keys"


def test_a_block_is_kept_replaced_and_deleted(store: Store, owner: Workroom, toml: bytes) -> None:
    with store.writing() as session:
        workrooms.put_block(store, session, owner, "summer", toml)
        workrooms.put_block(store, session, owner, "summer", toml + b"\n")
    with store.writing() as session:
        assert workrooms.blocks_of(session, owner) == {"summer": toml.decode() + "\n"}
        assert workrooms.block_named(store, session, owner, "summer") == demo_block()
        assert workrooms.block_named(store, session, owner, None) == demo_block()
        assert workrooms.delete_block(store, session, owner, "summer")
    with store.writing() as session:
        assert not workrooms.delete_block(store, session, owner, "summer")
    with store.reading() as session, pytest.raises(ServiceProblem) as caught:
        workrooms.block_named(store, session, owner, "summer")
    assert caught.value.code == "no-such-block"


@pytest.mark.parametrize("name", ["", "x" * 81, "two\nlines"])
def test_a_block_has_a_name_that_can_be_shown(
    store: Store, owner: Workroom, toml: bytes, name: str
) -> None:
    with store.writing() as session, pytest.raises(ServiceProblem) as caught:
        workrooms.put_block(store, session, owner, name, toml)
    assert caught.value.code == "block-name"


def test_there_is_an_end_to_blocks(store: Store, owner: Workroom, toml: bytes) -> None:
    with store.writing() as session:
        for number in range(MOST_BLOCKS):
            workrooms.put_block(store, session, owner, str(number), toml)
        with pytest.raises(ServiceProblem) as caught:
            workrooms.put_block(store, session, owner, "one more", toml)
    assert caught.value.code == "too-many-blocks"
