"""Deciding sizes on the workroom's blocks as they are now, and knowing which have changed since."""

from dataclasses import dataclass, field

from pydantic import RootModel
from sqlalchemy.orm import Session

from ellwand.api.desk import Desk
from ellwand.errors import EllwandError
from ellwand.sitting import Sitting, decided_on_other, sized
from ellwand.sizing import Block, Decision, decision_from_json
from ellwand.store import workrooms
from ellwand.store.engine import Store
from ellwand.store.sittings import Change, Held
from ellwand.store.workrooms import Workroom


def decide_now(desk: Desk, change: Change, garment: str | None) -> RootModel[Decision]:
    """Decide a sitting's size on the workroom's block, as it is now.

    Args:
        desk: the service's things.
        change: of the sitting, which has the decision from then on.
        garment: one of the block's; None takes the one of the invitation.

    Returns:
        The decision, to be answered with.

    Raises:
        EllwandError: something that it needs is not confirmed, or the block is not there any more,
            cannot be used, or has no such garment.
    """
    owner = workrooms.workroom(desk.store, change.session, change.held.workroom_id)
    change.record = sized(
        change.record,
        workrooms.block_named(desk.store, change.session, owner, change.terms.block),
        garment or change.terms.garment,
        today=desk.today(),
        fresh_weeks=desk.settings.fresh_weeks,
    )
    return RootModel[Decision](decision_from_json(change.record.decision))


def garment_decided(record: Sitting) -> str | None:
    """What the size was decided for; None where it was not."""
    return None if record.decision is None else decision_from_json(record.decision).garment


@dataclass
class BlocksNow:
    """A workroom's blocks as they are now, each read once.

    Args:
        store: where they are kept.
        session: a reading one.
        owner: whose they are.
    """

    store: Store
    session: Session
    owner: Workroom
    _read: dict[str | None, Block | None] = field(default_factory=dict)

    def changed_since(self, held: Held) -> bool:
        """Whether a sitting's size was decided on its block as it was before.

        False, too, where the block is gone or cannot be used: no size can be decided on it.
        """
        if held.record.decision is None:
            return False
        name = held.terms.block
        if name not in self._read:
            self._read[name] = self._block(name)
        block = self._read[name]
        return block is not None and decided_on_other(held.record, block)

    def _block(self, name: str | None) -> Block | None:
        try:
            return workrooms.block_named(self.store, self.session, self.owner, name)
        except EllwandError:
            return None
