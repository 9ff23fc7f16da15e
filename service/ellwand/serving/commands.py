"""What the operator's commands do beside serving: a workroom is taken in, a customer invited."""

from ellwand.settings import Settings
from ellwand.store import workrooms
from ellwand.store.engine import open_store
from ellwand.store.inviting import Inviter
from ellwand.store.sittings import Terms


def take_in(settings: Settings, login: str, password: str, name: str) -> bool:
    """Take a workroom in, or give it a new password and name.

    Returns:
        Whether it was there before; then its logins and keys have ended.

    Raises:
        ServiceProblem: a word cannot be used, or the data folder cannot be opened.
    """
    store = open_store(settings)
    store.migrate()
    with store.writing() as session:
        known = workrooms.is_known(store, session, login)
        workrooms.add_workroom(store, session, login, password, name)
    return known


def invite(settings: Settings, login: str, terms: Terms, base_url: str) -> str:
    """Invite a customer on behalf of a workroom.

    Args:
        settings: where its data is.
        login: of the workroom.
        terms: what is asked.
        base_url: what the link begins with.

    Returns:
        The link to send her.

    Raises:
        ServiceProblem: there is no such workroom or block, or a measurement is not known.
        EntryProblem: the address is none, or the block has no such garment.
    """
    store = open_store(settings)
    store.migrate()
    with store.writing() as session:
        owner = workrooms.workroom_of_login(store, session, login)
        return Inviter(store, settings, owner, base_url).invite(session, terms).link
