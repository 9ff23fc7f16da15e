"""An HTML document read by the standard library's parser: its words, tags and tables."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

ALONE = ("meta", "link")


@dataclass
class Table:
    """One table: its caption, and rows of cells, each a tag, its scope and its words."""

    caption: str = ""
    rows: list[list[tuple[str, str | None, str]]] = field(default_factory=list)


class Read(HTMLParser):
    """What a document holds; a tag that is not closed in its turn fails.

    Args:
        document: the document.
    """

    def __init__(self, document: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.tables: list[Table] = []
        self.declared = ""
        self._open: list[str] = []
        self.feed(document)
        self.close()
        assert self._open == []

    def handle_decl(self, decl: str) -> None:
        self.declared = decl

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in ALONE:
            self._open.append(tag)
        if tag == "table":
            self.tables.append(Table())
        elif tag == "tr":
            self.tables[-1].rows.append([])
        elif tag in ("th", "td"):
            self.tables[-1].rows[-1].append((tag, dict(attrs).get("scope"), ""))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "title" in self._open:
            return
        if data.strip():
            self.words.append(data)
        if "caption" in self._open:
            self.tables[-1].caption += data
        elif "th" in self._open or "td" in self._open:
            tag, scope, words = self.tables[-1].rows[-1][-1]
            self.tables[-1].rows[-1][-1] = (tag, scope, words + data)
