"""The operator's commands: serving, workers, workrooms, invitations.

Options override the environment (`ellwand.settings`); both are told in the README.
"""

import argparse
import getpass
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.language import LANGUAGES, WRITTEN_IN

if TYPE_CHECKING:
    from ellwand.settings import Settings

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]
else:
    Commands = argparse._SubParsersAction

HOST, PORT = "127.0.0.1", 8470


def add_operator_commands(commands: Commands) -> None:
    """Add `serve`, `work`, `workroom` and `invite`."""
    serve = _command(commands, "serve", _serve, "Serve customers and the workroom over HTTP.")
    serve.add_argument("--host", default=HOST, help=f"address to listen on (default {HOST})")
    serve.add_argument("--port", type=int, default=PORT, help=f"port (default {PORT})")
    serve.add_argument("--workers", type=int, help="photo jobs at once; 0: elsewhere (default 1)")
    serve.add_argument("--public-url", metavar="URL", help="what links to customers begin with")
    serve.add_argument("--trial-without-https", action="store_true", default=None,
                       help="take photos over plain http; every page says so")  # fmt: skip
    work = _command(commands, "work", _work, "Measure photos for a service on other machines.")
    work.add_argument("--workers", type=int, help="photo jobs at once (default 1)")
    workroom = _command(commands, "workroom", _workroom,
                        "Take a workroom in, or give it a new password.")  # fmt: skip
    workroom.add_argument("login", metavar="LOGIN", help="what she types to log in")
    workroom.add_argument("--name", required=True, help="the workroom's name, as customers see it")
    invite = _command(commands, "invite", _invite, "Invite a customer; prints the link for her.")
    invite.add_argument("login", metavar="LOGIN", help="of the workroom")
    invite.add_argument("--label", default="", help="how you call this customer; not shown to her")
    invite.add_argument("--block", metavar="NAME", help="one of the workroom's blocks")
    invite.add_argument("--garment", metavar="NAME", help="one of the block's garments")
    invite.add_argument("--ask", metavar="CODE", action="append", help="a measurement; repeatable")
    invite.add_argument("--address", default="", help="e-mail address that the card goes to")
    invite.add_argument("--unit", choices=("cm", "in"), default="cm", help="of bare numbers")
    invite.add_argument("--language", choices=LANGUAGES, default=WRITTEN_IN,
                        help="of her page and the card")  # fmt: skip
    invite.add_argument("--public-url", metavar="URL", help="what the link begins with")


def _command(
    commands: Commands, name: str, run: Callable[[argparse.Namespace], int], about: str
) -> argparse.ArgumentParser:
    added = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
    added.set_defaults(run=run)
    added.add_argument("--data", metavar="FOLDER", type=Path,
                       help="where everything is kept (default ellwand_data)")  # fmt: skip
    return added


def _settings(arguments: argparse.Namespace) -> "Settings":
    """The environment, and above it what was typed."""
    from pydantic import ValidationError

    from ellwand.errors import ServiceProblem
    from ellwand.settings import Settings

    known = ("data", "workers", "public_url", "trial_without_https")
    typed = {name: getattr(arguments, name, None) for name in known}
    try:
        return Settings(**{name: value for name, value in typed.items() if value is not None})
    except ValidationError as error:
        names = sorted({str(one["loc"][0]) for one in error.errors()})
        raise ServiceProblem(
            "settings-unusable",
            "A setting cannot be used.",
            "Look at {names}: options and ELLWAND_ variables are in the README.",
            500,
            names=", ".join(names),
        ) from None


def _serve(arguments: argparse.Namespace) -> int:
    from ellwand.serving.supervisor import serve

    return serve(_settings(arguments), arguments.host, arguments.port)


def _work(arguments: argparse.Namespace) -> int:
    from ellwand.serving.supervisor import work

    return work(_settings(arguments))


def _workroom(arguments: argparse.Namespace) -> int:
    from ellwand.serving.commands import take_in

    known = take_in(_settings(arguments), arguments.login, _password(), arguments.name)
    if known:
        print("The workroom has a new password and name; its earlier logins and keys have ended.")
    else:
        print("The workroom can log in now.")
    return 0


def _password() -> str:
    """From the terminal without being shown, or the first line of what is piped in."""
    if sys.stdin.isatty():
        return getpass.getpass("Password: ")
    return sys.stdin.readline().rstrip("\r\n")


def _invite(arguments: argparse.Namespace) -> int:
    from pydantic import ValidationError

    from ellwand.errors import EntryProblem
    from ellwand.serving.commands import invite
    from ellwand.store.sittings import Terms

    settings = _settings(arguments)
    asked = {"asked": tuple(arguments.ask)} if arguments.ask else {}
    try:
        terms = Terms(
            label=arguments.label, block=arguments.block, garment=arguments.garment,
            address=arguments.address, language=arguments.language, unit=arguments.unit, **asked,
        )  # fmt: skip
    except ValidationError:
        raise EntryProblem(
            "invitation-too-long",
            "A word of the invitation is too long.",
            "Label, block and garment have at most 80 characters, the address 254.",
        ) from None
    base_url = settings.public_url.rstrip("/") or f"http://{HOST}:{PORT}"
    print(invite(settings, arguments.login, terms, base_url))
    return 0
