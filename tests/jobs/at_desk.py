"""A sitting with a job, for tests of what comes of it."""

from dataclasses import dataclass

from ellwand.settings import Settings
from ellwand.store.engine import Store
from ellwand.store.jobs import Job

from ..store.kept import state


@dataclass
class AtDesk:
    """A sitting with a job.

    Args:
        store: what is kept.
        settings: what the operator set.
        kept: id of the sitting.
        job_id: id of the job.
    """

    store: Store
    settings: Settings
    kept: str
    job_id: str

    def state(self) -> Job:
        """How far the job is."""
        return state(self.store, self.kept, self.job_id)
