"""Gathering what the code, the pages and their scripts say into the catalogues.

Run after a sentence was written or changed: `python -m ellwand.language.gathering`. What is new
waits in each catalogue with an empty translation; what is said no more is taken out.
"""

import ast
import re
from collections.abc import Iterable, Iterator
from io import BytesIO
from itertools import islice
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import write_po

from ellwand.language.catalogue import DOMAINS, LANGUAGES, WRITTEN_IN, Domain, path_of, read
from ellwand.language.pages import texts_of

_PACKAGE = Path(__file__).resolve().parents[1]
_PAGE = _PACKAGE.parents[1] / "web" / "page"
# Which arguments of a call are texts; those of an error are its sentence and its advice.
_TEXTS_OF = {"gettext": slice(1), "gettext_noop": slice(1), "ngettext": slice(2)}
_TEXTS_OF_ERROR = slice(1, 3)
_ERROR = re.compile(r"[A-Z]\w*Problem|EllwandError")
_COUNTED = "ngettext"
_IN_SCRIPTS = {"gettext": None, "ngettext": (1, 2)}
_CALL = re.compile(r"\b(gettext|ngettext)\(")
_WRITTEN_OUT = {
    "gettext": re.compile(r'\s*"(?:[^"\\]|\\.)*"\s*[,)]'),
    "ngettext": re.compile(r'(?:\s*"(?:[^"\\]|\\.)*"\s*,){2}'),
}
# What each of them shows stands in it in words.
_DRAWINGS = "howto.svg"
# Where the calls are made what they are.
_SAYING = "language.js"
_WIDTH = 100
# No name, no address and no time of day: the history of the file tells all that.
_HEADER = """\
# Names of things: see "Languages" in DEVELOPERS.md.
msgid ""
msgstr ""
"Language: {language}\\n"
"Plural-Forms: {plural}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""

# A text, or one for a single thing and one for several.
Message = str | tuple[str, ...]


def gathered(domain: Domain) -> list[Message]:
    """All that is said in a domain, each once, in order of the files' names."""
    found: Iterable[Message]
    match domain:
        case "service":
            found = (text for path in _files(_PACKAGE, "py") for text in _in_code(path))
        case "page":
            paths = (*_files(_PAGE, "html"), _PAGE / _DRAWINGS)
            found = (text for path in paths for text in texts_of(path.read_text()))
        case "scripts":
            found = (text for path in _scripts() for text in in_script(path.read_text()))
    return list(dict.fromkeys(found))


def put_together() -> list[str]:
    """Texts in code and scripts that are not written out, so that no catalogue can have them.

    Returns:
        Where they are: paths in the package or of the page, with lines.
    """
    in_scripts = [
        f"{path.name}:{line}" for path in _scripts() for line in put_together_in(path.read_text())
    ]
    return in_scripts + [
        f"{path.relative_to(_PACKAGE)}:{node.lineno}"
        for path in _files(_PACKAGE, "py")
        for _, texts in _calls(path)
        for node in texts
        if isinstance(node, ast.JoinedStr | ast.BinOp)
    ]


def updated(old: Catalog, messages: Iterable[Message]) -> Catalog:
    """A catalogue of the messages that there are now, with what it had for them.

    Args:
        old: as it was; its forms of names, which have a context, are kept.
        messages: all that is said.
    """
    new = Catalog(old.locale)
    for message in messages:
        before = old.get(message)
        new.add(message, before.string if before else "")
    for entry in old:
        if entry.context:
            new.add(entry.id, entry.string, context=entry.context)
    return new


def main() -> None:
    """Bring all catalogues up to date."""
    for language in LANGUAGES:
        for domain in DOMAINS:
            if language != WRITTEN_IN:
                now = updated(read(language, domain), gathered(domain))
                write(now, path_of(language, domain))


def write(catalogue: Catalog, path: Path) -> None:
    """Write a catalogue into its file."""
    header = _HEADER.format(language=catalogue.locale, plural=catalogue.plural_forms.rstrip(";"))
    with path.open("wb") as file:
        file.write(header.encode())
        write_po(file, catalogue, width=_WIDTH, omit_header=True)


def _files(folder: Path, suffix: str) -> list[Path]:
    return sorted(folder.rglob(f"*.{suffix}"))


def _in_code(path: Path) -> Iterator[Message]:
    for name, nodes in _calls(path):
        texts = [
            node.value
            for node in nodes
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        ]
        if texts and name == _COUNTED:
            yield tuple(texts)
        else:
            yield from texts


def _calls(path: Path) -> Iterator[tuple[str, list[ast.expr]]]:
    """Calls that say or mark texts, each with the expressions that are its texts."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            texts = _TEXTS_OF.get(name, _TEXTS_OF_ERROR if _ERROR.fullmatch(name) else slice(0))
            yield name, [one for given in node.args[texts] for one in _either(given)]


def _either(node: ast.expr) -> list[ast.expr]:
    """Both branches of an expression that chooses between two."""
    return [*_either(node.body), *_either(node.orelse)] if isinstance(node, ast.IfExp) else [node]


def _scripts() -> list[Path]:
    return [path for path in _files(_PAGE, "js") if path.name != _SAYING]


def in_script(source: str) -> Iterator[Message]:
    """All that a script says, also in calls inside of others and inside of templates.

    >>> list(in_script('gettext("Go on: {step}", { step: gettext("the size") })'))
    ['Go on: {step}', 'the size']
    """
    for call in _CALL.finditer(source):
        # From each call on: what is inside of a call that it has found, the extractor passes over.
        rest = BytesIO(source[call.start() :].encode())
        for _, message, _, _ in islice(extract("javascript", rest, _IN_SCRIPTS), 1):
            yield message


def put_together_in(source: str) -> list[int]:
    """Lines of a script with a call whose texts are not written out.

    >>> put_together_in('gettext("one " + two)')
    [1]
    """
    return [
        source.count("\n", 0, call.start()) + 1
        for call in _CALL.finditer(source)
        if not _WRITTEN_OUT[call[1]].match(source, call.end())
    ]


if __name__ == "__main__":
    main()
