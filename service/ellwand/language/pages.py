"""Pages in another language: an HTML or SVG file with its texts replaced, all else as written.

A text is what stands in one line, with the tags inside of it ("<strong>Photos</strong>, if you
like"). An element with `translate="no"` is left alone (HTML standard, "The translate attribute").
"""

import re
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Final

from ellwand.language.catalogue import WRITTEN_IN, Language

# Elements that stand inside a line, as far as the pages have them there; links and spans with a
# class of their own stand for themselves.
_IN_LINE: Final = frozenset({"a", "code", "em", "span", "strong"})
_VOID: Final = frozenset({"br", "img", "input", "link", "meta"})
_SAID_ATTRIBUTE: Final = re.compile(r'(?<=\s)(alt|aria-label|placeholder)="([^"]+)"')

Said = Callable[[str], str]


def address_in(language: Language, path: str) -> str:
    """Where a page is in a language.

    >>> address_in("en", "/sitting"), address_in("de", "/sitting")
    ('/sitting', '/de/sitting')
    """
    return path if language == WRITTEN_IN else f"/{language}{path}"


def texts_of(html: str) -> list[str]:
    """All texts of a page, in order.

    >>> texts_of('<p id="a"><strong>Photos</strong>, if you like.</p> <img alt="A tape">')
    ['<strong>Photos</strong>, if you like.', 'A tape']
    """
    found: list[str] = []

    def noted(text: str) -> str:
        found.append(text)
        return text

    with_texts(html, noted)
    return found


def with_texts(html: str, said: Said) -> str:
    """A page with each of its texts as it is said.

    Args:
        html: the page's source; every element that is not empty is closed.
        said: gives what is to stand in place of a text.
    """
    reader = _Reader(said)
    reader.feed(html)
    reader.close()
    return reader.page()


class _Reader(HTMLParser):
    """Writes a page as it reads it, line by line."""

    def __init__(self, said: Said) -> None:
        super().__init__(convert_charrefs=False)
        self._said = said
        self._done: list[str] = []
        # Of the line that is read: the source of each part, and by how much it opens elements.
        self._line: list[tuple[str, int]] = []
        # Of each open element: whether it stands inside a line, and whether it is left alone.
        self._open: list[tuple[bool, bool]] = []

    def page(self) -> str:
        self._end_line()
        return "".join(self._done)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = {name: value for name, value in attrs if name in {"class", "id"}}
        in_line = tag in _IN_LINE and named in ({}, {"class": "soft"})
        alone = self._alone() or tag in {"script", "style"} or ("translate", "no") in attrs
        raw = self.get_starttag_text() or ""
        if not alone:
            raw = _SAID_ATTRIBUTE.sub(lambda one: f'{one[1]}="{self._said(one[2])}"', raw)
        self._tag(raw, in_line, 1)
        if tag not in _VOID:
            self._open.append((in_line, alone))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        # So drawings write an element that is empty.
        self._tag(self.get_starttag_text() or "", False, 0)

    def handle_endtag(self, tag: str) -> None:
        in_line, _ = self._open[-1]
        self._tag(f"</{tag}>", in_line, -1)
        self._open.pop()

    def handle_data(self, data: str) -> None:
        if self._alone():
            self._end_line()
            self._done.append(data)
        else:
            self._line.append((data, 0))

    def handle_entityref(self, name: str) -> None:
        self.handle_data(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self.handle_data(f"&#{name};")

    def handle_decl(self, decl: str) -> None:
        self._done.append(f"<!{decl}>")

    def _alone(self) -> bool:
        return bool(self._open) and self._open[-1][1]

    def _tag(self, raw: str, in_line: bool, opens: int) -> None:
        if in_line and not self._alone():
            self._line.append((raw, opens))
        else:
            self._end_line()
            self._done.append(raw)

    def _end_line(self) -> None:
        """Say what the line holds; tags around all of it, and space at its ends, stay outside."""
        texts = [at for at, (raw, opens) in enumerate(self._line) if not opens and raw.strip()]
        first, last = (texts[0], texts[-1] + 1) if texts else (0, 0)
        while sum(opens for _, opens in self._line[first:last]) > 0:
            last += 1
        while sum(opens for _, opens in self._line[first:last]) < 0:
            first -= 1
        raws = [raw for raw, _ in self._line]
        text = "".join(raws[first:last])
        core = text.strip()
        said = text.replace(core, self._said(" ".join(core.split()))) if core else text
        self._done += [*raws[:first], said, *raws[last:]]
        self._line.clear()
