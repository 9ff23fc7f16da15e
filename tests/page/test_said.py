"""What the scripts say: all of it through the catalogues, and in German as well as in English."""

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from ellwand.card import in_words
from ellwand.language import LANGUAGES, Language, speaking
from ellwand.language.catalogue import read
from ellwand.language.gathering import in_script, put_together_in
from ellwand.quantity import parse_length
from ellwand.shown import glued, in_both_units, in_her_order, showing_first

from .test_page_files import PAGE, SCRIPTS, run

# Comments, regular expressions, strings and templates, so that none is taken for another one.
TOKEN = re.compile(
    r"""
    (?://[^\n]*|/\*.*?\*/)
    | [(=,!:?&|]\s*/(?![/*])(?:[^/\\\n\[]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/[a-z]*
    | (?P<text>"(?:[^"\\\n]|\\.)*"|`(?:[^`\\]|\\.)*`)
    """,
    re.VERBOSE | re.DOTALL,
)
SAID = re.compile(r'\b(?:gettext\(\s*"(?:[^"\\]|\\.)*"|ngettext\((?:\s*"(?:[^"\\]|\\.)*"\s*,?){2})')
# What comes before a text that nobody reads: selectors, classes, kinds of files.
UNREAD = re.compile(
    r"(?:querySelector(?:All)?|matches|closest|import|getContext|setAttribute)\($"
    r"|\b(?:class|type): $"
)
# A word that begins a sentence, or more than one word.
WORDS = re.compile(r"[^\W\d_]{2,} [^\W\d_]|^[A-Z][a-z]")
# Names of keys, of headers, of errors and of the wish to share; slips and verdicts as the service
# names them.
MEANT = {
    "wrong unit", "decimal point lost",
    "ArrowUp", "ArrowDown", "ArrowRight", "ArrowLeft", "PageUp", "PageDown", "Home", "Escape",
    "Content-Type", "Accept-Language", "Idempotency-Key", "Retry-After",
    "AbortError", "NotAllowedError", "NotFoundError", "NotReadableError",
    "within doubt", "not settled",
}  # fmt: skip
# Never shown: an error of the page's own, fields that are kept, keys of the catalogue, classes.
MEANT |= {
    "no drawings", "input[type=text], select, [name=reference]", "decimal mark",
    "sign of the inch",
    "level other", "level halo",
}  # fmt: skip


def unsaid(source: str) -> list[str]:
    """Texts with words in a script that go through no catalogue."""
    left = SAID.sub("said(", source)
    found = []
    for token in TOKEN.finditer(left):
        if token["text"] is None or UNREAD.search(left[: token.start("text")]):
            continue
        text = re.sub(r"\$\{[^{}]*\}", "", token["text"][1:-1])
        if WORDS.search(text) and text not in MEANT:
            found.append(text)
    return found


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_says_nothing_past_the_catalogues(name: str) -> None:
    assert unsaid(SCRIPTS[name]) == []


@pytest.mark.parametrize(
    ("source", "texts"),
    [
        ('say("It is done.");', ["It is done."]),
        ('say(gettext("It is done."));', []),
        ('say(gettext("{name} is done.", { name: "The card" }));', ["The card"]),
        ('say(ngettext("one card", "{number} cards", n, { by: `her ${x} own` }));', []),
        ("say(`The ${view} photo is taken.`);", ["The  photo is taken."]),
        ('el("button", {}, "Copy")', ["Copy"]),
        ('// "She said so."\nel("p", { class: "one two" }); all.querySelector("a b");', []),
        ('if (/["\'a-z]/i.test(text)) say("Not so.");', ["Not so."]),
    ],
)
def test_a_text_past_the_catalogues_would_be_noticed(source: str, texts: list[str]) -> None:
    assert unsaid(source) == texts


@pytest.mark.parametrize(
    ("source", "texts"),
    [
        ('say(gettext("one"))', ["one"]),
        ('gettext("Go on: {step}", { step: gettext("the size") })', ["Go on: {step}", "the size"]),
        ('`${gettext("in a template")}`', ["in a template"]),
        ('said.gettext("Hello,")', ["Hello,"]),
        ('ngettext("{number} cup",\n  "{number} cups", n)', [("{number} cup", "{number} cups")]),
        ('// gettext of nothing\ngettext("it\'s “so”")', ["it's “so”"]),
    ],
)  # fmt: skip
def test_all_that_a_script_says_is_gathered(source: str, texts: list[object]) -> None:
    assert list(in_script(source)) == texts
    assert put_together_in(source) == []


@pytest.mark.parametrize(
    "source", ['gettext("one " + two)', "gettext(`one ${two}`)", "gettext(TABLE[code])",
               'ngettext("one", other, n)', "gettext('one')"],
)  # fmt: skip
def test_a_text_that_is_not_written_out_is_noticed(source: str) -> None:
    assert put_together_in(source) == [1]


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page's scripts beside the German catalogue as they fetch it."""
    folder = tmp_path_factory.mktemp("page") / "page"
    shutil.copytree(PAGE, folder)
    entries = [one for one in read("de", "scripts") if one.id]
    words = {
        one.context or (one.id if isinstance(one.id, str) else one.id[0]): one.string
        for one in entries
    }
    (folder / "words.de.js").write_text(f"export default {json.dumps(words)};", "utf-8")
    return folder


def told(folder: Path, module: str, expression: str, language: str = "de") -> Any:
    """What an expression of a module comes to in a document of a language."""
    return run(
        f"globalThis.document = {{ documentElement: {{ lang: {json.dumps(language)} }} }};"
        f"const part = await import({json.dumps((folder / module).as_uri())});"
        f"console.log(JSON.stringify({expression}));"
    )


def test_german_is_said_where_the_page_is_german(german: Path) -> None:
    asked = 'part.gettext("Go on: {name}", { name: "{name} $& $1" })'
    assert told(german, "language.js", asked) == "Weiter: {name} $& $1"
    assert told(german, "language.js", asked, "en") == "Go on: {name} $& $1"
    counted = '[1, 2, 0].map((n) => part.ngettext("{number} query", "{number} queries", n))'
    assert told(german, "language.js", counted) == ["1 Rückfrage", "2 Rückfragen", "0 Rückfragen"]
    assert told(german, "language.js", counted, "en") == ["1 query", "2 queries", "0 queries"]
    assert told(german, "language.js", 'part.gettext("said by nobody")') == "said by nobody"


def test_a_catalogue_that_is_not_reached_leaves_english(german: Path) -> None:
    assert told(german, "language.js", 'part.gettext("Copied.")', "xx") == "Copied."


def test_one_page_can_say_something_in_the_other_language(german: Path) -> None:
    for page, wanted, hello in (("en", "de", "Guten Tag,"), ("de", "en", "Hello,")):
        asked = f'(await part.speaking("{wanted}")).gettext("Hello,")'
        assert told(german, "language.js", asked, page) == hello


@pytest.mark.parametrize(
    ("language", "typed", "meant"),
    [
        ("en", 9255, "92.55 cm"),
        ("de", 9255, "92,55 cm"),
        # A comma before three digits would be refused.
        ("de", 9255.5, "92.555 cm"),
    ],
)
def test_a_number_to_be_read_in_with_one_tap_is_written_as_the_language_does(
    german: Path, language: str, typed: float, meant: str
) -> None:
    rows = [{"raw": str(typed), "mm": typed * 10, "unit": "cm"}]
    query = {"slip": "decimal point lost", "corrected_mm": typed / 10}
    asked = f"part.meantBy({json.dumps(query)}, {json.dumps(rows)})"
    assert told(german, "meant.js", asked, language) == [meant]


@pytest.mark.parametrize(("language", "meant"), [("en", "31 in"), ("de", "31 Zoll")])
def test_inches_to_be_read_in_with_one_tap_have_the_sign_of_the_language(
    german: Path, language: str, meant: str
) -> None:
    rows = [{"raw": "31", "mm": 310, "unit": "cm"}]
    query = {"slip": "wrong unit", "corrected_mm": 787.4}
    asked = f"part.meantBy({json.dumps(query)}, {json.dumps(rows)})"
    assert told(german, "meant.js", asked, language) == [meant]
    assert parse_length(meant, "cm").unit == "in"


@pytest.mark.parametrize(
    ("language", "shown"),
    [("en", ["36 3/8 in (92.5 cm)", "36 3/8 ± 1 1/4 in"]),
     ("de", ["36 3/8 Zoll (92,5 cm)", "36 3/8 ± 1 1/4 Zoll"])],
)  # fmt: skip
def test_her_unit_is_shown_first(german: Path, language: Language, shown: list[str]) -> None:
    asked = '[(part.showFirst("in"), part.inBothUnits(925)), part.figures(925, 895, 955).in]'
    assert told(german, "figures.js", asked, language) == shown
    with speaking(language), showing_first("in"):
        assert in_both_units(925.0) == shown[0]
        assert in_words(925.0, 895.0, 955.0).startswith(shown[1])


FIXED = {
    "en": ["9 cm (3 1/2 in) down; 30 cm (12 in)", "3 1/2 in (9 cm) down; 12 in (30 cm)"],
    "de": ["ein Pfeil 9 cm (3 1/2 Zoll) weit", "ein Pfeil 3 1/2 Zoll (9 cm) weit"],
}  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_fixed_length_has_her_unit_first_however_often_she_turns(
    german: Path, language: Language
) -> None:
    centimetres, inches = FIXED[language]
    for unit, shown in (("in", inches), ("cm", centimetres)):
        for text in (centimetres, inches):
            asked = f'(part.showFirst("{unit}"), part.inHerOrder({json.dumps(text)}))'
            assert told(german, "figures.js", asked, language) == shown
    with speaking(language), showing_first("in"):
        assert in_her_order(centimetres) == inches


def test_a_distance_in_metres_has_feet_first_too(german: Path) -> None:
    text = '"upright, 2.2 to 3.2 m (7 to 10 1/2 ft) away"'
    asked = f'(part.showFirst("in"), part.inHerOrder({text}))'
    assert told(german, "figures.js", asked, "en") == "upright, 7 to 10 1/2 ft (2.2 to 3.2 m) away"


EXAMPLES = {
    "en": ["Like 168 cm or 5 ft 6 in.", "Like 5 ft 6 in or 168 cm."],
    "de": ["30 cm oder 12 Zoll, auch 30 cm ± 1 cm", "12 Zoll oder 30 cm, auch 30 cm ± 1 cm"],
}  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_example_has_her_unit_first_however_often_she_turns(
    german: Path, language: Language
) -> None:
    centimetres, inches = EXAMPLES[language]
    for unit, shown in (("in", inches), ("cm", centimetres)):
        for text in (centimetres, inches):
            asked = f'(part.showFirst("{unit}"), part.inHerOrder({json.dumps(text)}))'
            assert told(german, "figures.js", asked, language) == shown


@pytest.mark.parametrize(
    ("language", "figures"),
    [("en", ["92.5 cm (36 3/8 in)", "waist, hip and wrist", "1\u00a0March 2026",
             "1.\u00a0März 2026"]),
     ("de", ["92,5 cm (36 3/8 Zoll)", "waist, hip und wrist", "1.\u00a0März 2026",
             "1.\u00a0März 2026"])],
)  # fmt: skip
def test_numbers_lists_and_days_are_written_as_the_language_does(
    german: Path, language: str, figures: list[str]
) -> None:
    lengths = told(german, "figures.js", "part.inBothUnits(925)", language)
    names = told(german, "dom.js", 'part.listed(["waist", "hip", "wrist"])', language)
    noon = 1772362800
    days = told(german, "dom.js", f'[part.day({noon}), part.day({noon}, "de")]', language)
    assert [lengths, names, *days] == figures


def test_no_line_ends_within_a_length(german: Path) -> None:
    # The reference is Python's.
    for language, told_in in (
        ("en", "{size} (36 3/8 in) ± 1 cm in all, 84 % sure"),
        ("de", "{size} (36 3/8 Zoll) ± 1 cm in allem, 5 Fuß, zu 84 %"),
    ):
        text = json.dumps(told_in)
        shown = told(
            german, "language.js", f'part.gettext({text}, {{ size: "92.5 cm" }})', language
        )
        with speaking(language):
            assert shown == glued(told_in.replace("{size}", "92.5 cm"))
        assert " " not in shown.split(")")[0].replace(" (", "")


def test_a_number_with_a_comma_gets_its_unit() -> None:
    script = (
        f'import {{ withUnit }} from "{(PAGE / "forms.js").as_uri()}";'
        'console.log(JSON.stringify(withUnit({ raw: "92,5", unit: "cm" })));'
    )
    assert run(script) == "92,5 cm"


def test_a_voice_of_the_language_speaks_where_there_is_one(german: Path) -> None:
    voices = [
        {"lang": "en-US", "default": True},
        {"lang": "de_DE"},
        {"lang": "de-AT", "default": True},
    ]
    heard = run(
        "globalThis.document = { documentElement: { lang: 'de' } };"
        "globalThis.SpeechSynthesisUtterance = class extends EventTarget {};"
        "const heard = [];"
        f"let voices = {json.dumps(voices)};"
        "const speechSynthesis = { getVoices: () => voices, cancel() {},"
        " speak: ({ lang, voice }) => heard.push([lang, voice?.lang ?? null]) };"
        "globalThis.window = { speechSynthesis, SpeechSynthesisUtterance };"
        f"const part = await import({json.dumps((german / 'voice.js').as_uri())});"
        "part.speak('Hallo'); voices = voices.slice(0, 2); part.speak('Hallo');"
        "voices = []; part.speak('Hallo');"
        "console.log(JSON.stringify(heard)); process.exit(0);"
    )
    assert heard == [["de", "de-AT"], ["de", "de_DE"], ["de", None]]


@pytest.mark.parametrize(
    ("page", "place", "hers", "online", "to"),
    [
        ("en", "/sitting", "de", True, "/de/sitting#tape"),
        ("de", "/de/sitting", "en", True, "/sitting#tape"),
        ("de", "/de/sitting", "de", True, None),
        # A page that is not what its address says leads nowhere, least of all to itself.
        ("en", "/de/sitting", "de", True, None),
        # No page is there in it, or none can be fetched now.
        ("en", "/sitting", "fr", True, None),
        ("en", "/sitting", "de", False, None),
    ],
)
def test_a_sitting_leads_to_the_page_in_its_language_and_never_in_a_circle(
    german: Path, page: str, place: str, hers: str, online: bool, to: str | None
) -> None:
    links = [{"lang": "en", "pathname": "/sitting"}, {"lang": "de", "pathname": "/de/sitting"}]
    gone = run(
        "let gone = null;"
        "globalThis.document = {"
        f"documentElement: {{ lang: {json.dumps(page)} }},"
        f"querySelectorAll: () => {json.dumps(links)} }};"
        "Object.defineProperty(globalThis, 'navigator',"
        f" {{ value: {{ onLine: {json.dumps(online)} }}, configurable: true }});"
        f"globalThis.window = {{ location: {{ pathname: {json.dumps(place)}, hash: '#tape',"
        " replace: (url) => { gone = url; } } };"
        f"const part = await import({json.dumps((german / 'switch.js').as_uri())});"
        f"const leads = part.leadsTo({json.dumps(hers)});"
        "console.log(JSON.stringify([leads, gone]));"
    )
    assert gone == [to is not None, to]
