"""Inviting a customer: what is asked is checked, a sitting begins, and a link opens it."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from ellwand.card import checked_address
from ellwand.errors import EntryProblem, ServiceProblem
from ellwand.language.pages import address_in
from ellwand.measurements import KINDS
from ellwand.settings import Settings
from ellwand.store import sittings
from ellwand.store.engine import Store
from ellwand.store.sittings import Terms
from ellwand.store.workrooms import Workroom, block_named

PAGE = "/sitting"


@dataclass(frozen=True)
class Invited:
    """A link for a customer.

    Args:
        id: of the sitting.
        link: to be sent to her; it holds the token and is told this once.
        ends_at: when it ends if it is not opened, seconds since 1970.
    """

    id: str
    link: str
    ends_at: float


@dataclass(frozen=True)
class Inviter:
    """A workroom that invites.

    Args:
        store: what is kept.
        settings: how long things are kept.
        workroom: who invites.
        base_url: what links begin with.
    """

    store: Store
    settings: Settings
    workroom: Workroom
    base_url: str

    def invite(self, session: Session, terms: Terms) -> Invited:
        """Begin a sitting.

        Raises:
            ServiceProblem: a measurement or the block is not known.
            EntryProblem: the address is none, or the block has no such garment.
        """
        days, checked = self.settings.keep_days, self._checked(session, terms)
        return self.link(
            session, sittings.invite(self.store, session, self.workroom.id, checked, days)
        )

    def link(self, session: Session, sitting_id: str) -> Invited:
        """Give a sitting a new link; the one before ends."""
        days = self.settings.link_days
        token, ends = sittings.new_link(self.store, session, sitting_id, days)
        language = sittings.held(self.store, session, sitting_id).terms.language
        return Invited(sitting_id, f"{self.base_url}{address_in(language, PAGE)}#{token}", ends)

    def _checked(self, session: Session, terms: Terms) -> Terms:
        if not terms.asked or any(code not in KINDS for code in terms.asked):
            raise ServiceProblem(
                "unknown-code",
                "A measurement that is asked for is not known.",
                "Take codes from the list of measurements.",
                422,
            )
        block = block_named(self.store, session, self.workroom, terms.block)
        if terms.garment is not None and terms.garment not in block.garments:
            raise EntryProblem(
                "garment-not-in-block",
                "The block has no such garment.",
                "It has {garments}.",
                garments=", ".join(block.garments),
            )
        address = checked_address(terms.address) if terms.address.strip() else ""
        asked = tuple(dict.fromkeys(terms.asked))
        label = terms.label.strip()
        return terms.model_copy(update={"label": label, "address": address, "asked": asked})
