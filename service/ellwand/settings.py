"""What an operator can set: from the environment, or from the options of a command.

Every setting has the environment variable `ELLWAND_` and its name in capitals.
"""

from pathlib import Path

from pydantic import Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict

MEGABYTE = 1_000_000
DATABASE_FILE = "ellwand.db"


class Settings(BaseSettings):
    """All settings of the service, each with a default that suits one small workroom."""

    model_config = SettingsConfigDict(
        env_prefix="ELLWAND_", frozen=True, extra="forbid", use_attribute_docstrings=True
    )

    data: Path = Path("ellwand_data")
    """Folder of everything that is kept; it is made, for its owner only."""
    database_url: str = ""
    """SQLAlchemy URL of the database; empty is an SQLite file in the data folder."""
    queue_url: str = ""
    """redis:// or postgresql:// URL of the queue; empty is an SQLite file in the data folder."""
    server_key: SecretStr | None = None
    """Key that wraps the keys of the sittings, 32 bytes in base64; None is a file in the data
    folder, made at first start. Keep it apart from backups of the database."""
    public_url: str = ""
    """What a customer's link begins with, like https://measure.example; empty is the address that
    is listened on."""
    trial_without_https: bool = False
    """Take photos over plain http from other machines; every page says so."""
    trusted_proxies: str = "127.0.0.1"
    """Addresses whose X-Forwarded-For and -Proto are believed, separated by commas."""

    workers: int = Field(default=1, ge=0, le=64)
    """How many photo jobs run at once; 0 leaves them to other machines."""
    most_waiting_jobs: int = Field(default=40, ge=1)
    """More jobs than this are turned away with an answer to come again."""
    job_time_limit_s: float = Field(default=60, gt=0)
    """A job that takes longer is ended."""
    job_attempts: int = Field(default=3, ge=1)
    """How often a job is begun when its process is lost."""
    lease_s: float = Field(default=20, gt=0)
    """A job whose process has not been heard of for so long is begun again."""
    worker_memory_mb: int = Field(default=4_000, ge=1_000)
    """Address space of a detector process."""

    photo_bytes: int = Field(default=30 * MEGABYTE, ge=1_000)
    """Largest photo file that is taken."""
    uploads_at_once: int = Field(default=40, ge=1)
    """How many uploads are taken in at the same time."""
    spool_minutes: int = Field(default=60, ge=1)
    """After this time photos that are still waiting are removed unread."""

    keep_days: float = Field(default=30, gt=0)
    """A sitting is erased this many days after its last change."""
    fresh_weeks: int = Field(default=8, ge=1)
    """A girth that was measured longer ago is to be measured again before cutting."""
    link_days: float = Field(default=14, gt=0)
    """A link that was not opened ends after this many days."""
    login_hours: float = Field(default=12, gt=0)
    """A login of the workroom ends after this many hours."""

    link_requests_a_minute: int = Field(default=240, ge=1)
    """Requests of one customer or workroom."""
    address_requests_a_minute: int = Field(default=600, ge=1)
    """Requests from one address."""
    tries_a_minute: int = Field(default=10, ge=1)
    """Tries to open a link or to log in from one address."""
    uploads_an_hour: int = Field(default=60, ge=1)
    """Uploads of one customer; a photo that is checked on its own is one, too."""

    smtp_host: str = ""
    """Mail server; empty means that cards are only offered for download."""
    smtp_port: int = Field(default=587, ge=1, le=65535)
    """Its port."""
    smtp_security: str = Field(default="starttls", pattern="^(starttls|tls)$")
    """How the connection is encrypted: starttls or tls."""
    smtp_user: str = ""
    """Login at the mail server."""
    smtp_password: SecretStr = SecretStr("")
    """Password at the mail server."""
    smtp_sender: str = ""
    """Address that mails come from."""
    smtp_ca_file: Path | None = None
    """Certificates to trust besides those of the system."""

    @property
    def database(self) -> str:
        """URL of the database."""
        return self.database_url or f"sqlite:///{self.data.resolve() / DATABASE_FILE}"

    @property
    def spool(self) -> Path:
        """Folder of sealed photos that wait for their job; shared by all machines."""
        return self.data / "spool"
