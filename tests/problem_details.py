"""The one shape of errors over HTTP, checked in one place.

Source: RFC 9457.
"""

import ast
from functools import cache
from pathlib import Path
from typing import Any

import ellwand

PACKAGE = Path(ellwand.__file__).parent
CLASSES = {"ServiceProblem": None, "EntryProblem": 422, "PhotoProblem": 422, "BlockProblem": 422,
           "SittingProblem": 409}  # fmt: skip
# Made without a class of ours: a request that does not fit its description, a bug, and what the
# framework itself answers.
OTHERS = {"malformed", "our-mistake", "not-found", "method-not-allowed", "bad-request"}
MEMBERS = {"type", "title", "status", "detail", "code"}


@cache
def made() -> list[tuple[str, list[ast.expr], str]]:
    """Class, arguments and module of every error that the code makes."""
    return [
        (node.func.id, node.args, path.relative_to(PACKAGE).as_posix())
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in CLASSES
    ]


@cache
def known_codes() -> frozenset[str]:
    """Codes that an answer may have."""
    from ellwand.photo.problems import _ADVICE

    codes = {getattr(arguments[0], "value", "") for _, arguments, _ in made()}
    return frozenset({*codes, *_ADVICE, *OTHERS})


def check_problem(answer: Any, status: int, code: str | None = None, private: Any = ()) -> Any:
    """See that an answer is problem details and holds nothing private.

    Args:
        answer: of a client.
        status: that it should have.
        code: that it should have; None is any known one.
        private: words that may not be in it.

    Returns:
        Its body.
    """
    body = answer.json()
    assert (answer.status_code, body["status"]) == (status, status), body
    assert answer.headers["content-type"] == "application/problem+json"
    assert MEMBERS <= set(body) <= MEMBERS | {"problems", "entries", "misfits"}
    assert body["type"] == "about:blank"
    assert body["title"][0].isupper()
    assert body["title"].endswith(".")
    assert body["detail"].endswith(".")
    assert body["code"] in known_codes()
    assert code is None or body["code"] == code, body
    for entry in body.get("entries", []):
        assert {"where", "code", "title", "detail"} <= set(entry)
        assert entry["code"] in known_codes()
    for misfit in body.get("misfits", []):
        assert set(misfit) == {"where", "why"}
    told = answer.text + str(dict(answer.headers))
    assert [word for word in private if word in told] == []
    assert answer.headers["cache-control"] == "no-store"
    if status == 401:
        assert answer.headers["www-authenticate"] == 'Bearer realm="ellwand"'
    if status == 429:
        assert int(answer.headers["retry-after"]) >= 1
    return body
