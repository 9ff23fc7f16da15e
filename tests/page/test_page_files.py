"""The files of the page: strict about scripts, whole, readable, and in the words of the rest."""

import json
import re
import subprocess
from pathlib import Path
from typing import Any, get_args

import numpy as np
import playwright
import pytest

from ellwand.api.page import page_folder
from ellwand.card import figures, in_words, outside_words
from ellwand.girth.joint import interval_95
from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sitting import Standing
from ellwand.tape import CLOTHED, OVER_BRA, MeasuredBy, Taken, Worn, taken_words

from .colours import EDGE_CONTRAST, TEXT_CONTRAST, contrast, schemes

PAGE = page_folder()
TEXTS = {path.name: path.read_text("utf-8") for path in PAGE.iterdir()}
SCRIPTS = {name: text for name, text in TEXTS.items() if name.endswith(".js")}
HTML = {name: text for name, text in TEXTS.items() if name.endswith(".html")}
LONGEST_SCRIPT = 300
# Colour in front, colour behind, least contrast.
PAIRS = [
    *((front, behind, TEXT_CONTRAST)
      for front in ("ink", "soft", "thread", "thread-deep", "madder", "moss", "amber")
      for behind in ("paper", "cloth")),
    *((front, "chalk", TEXT_CONTRAST) for front in ("ink", "soft", "thread-deep")),
    ("ink", "madder-wash", TEXT_CONTRAST), ("on-thread", "thread", TEXT_CONTRAST),
    ("on-thread", "thread-deep", TEXT_CONTRAST), ("on-madder", "madder", TEXT_CONTRAST),
    ("on-tape", "tape", TEXT_CONTRAST), ("edge", "paper", EDGE_CONTRAST),
    ("tape-tick", "tape", EDGE_CONTRAST),
]  # fmt: skip


@pytest.mark.parametrize("name", HTML)
def test_no_page_has_a_script_style_or_handler_in_it(name: str) -> None:
    """The policy of the service would not run them."""
    text = HTML[name]
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", text)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_comes_from_another_place(name: str) -> None:
    """No address of another server stands in any file."""
    named = set(re.findall(r"https?://[^\s\"'<)]+", TEXTS[name]))
    assert named <= {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_makes_no_markup_from_texts(name: str) -> None:
    """Texts become text nodes. What a script may keep is in tests/api/test_asvs.py."""
    text = SCRIPTS[name]
    markup = r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function"
    assert not re.search(markup, text)
    assert len(text.splitlines()) < LONGEST_SCRIPT


def test_every_file_and_element_that_is_named_is_there() -> None:
    """A page names its files, a script its modules and elements."""
    files = {
        name
        for text in TEXTS.values()
        for name in re.findall(r"(?:/page/|from \"\./)([\w.]+\.\w+)", text)
    }
    assert files <= TEXTS.keys()
    ids = {found for text in HTML.values() for found in re.findall(r'\bid="([^"]+)"', text)}
    named = {found for text in SCRIPTS.values() for found in re.findall(r'byId\("([^"]+)"\)', text)}
    assert named <= ids
    for text in HTML.values():
        own = re.findall(r'\bid="([^"]+)"', text)
        assert len(own) == len(set(own))
        for attribute in ("for", "aria-describedby", "aria-labelledby"):
            for found in re.findall(rf'\s{attribute}="([^"]+)"', text):
                assert set(found.split()) <= set(own)
        assert set(re.findall(r'href="#([^"]+)"', text)) <= set(own)


def imported(name: str) -> set[str]:
    """Scripts that a script needs before it runs, and that these need."""
    own = set(re.findall(r'^import [^;]*?from "\./([\w.]+)"', SCRIPTS[name], re.MULTILINE))
    return own.union(*map(imported, own))


@pytest.mark.parametrize("page", HTML)
def test_all_scripts_are_asked_for_at_once(page: str) -> None:
    """A script that is only found in another one would cost a slow line one more round."""
    begun = re.findall(r'<script type="module" src="/page/([\w.]+)">', HTML[page])
    preloaded = re.findall(r'<link rel="modulepreload"[^>]* href="/page/([\w.]+)">', HTML[page])
    assert preloaded == sorted(set().union(*map(imported, begun)))


def test_every_page_has_a_language_a_title_a_status_and_words_without_scripts() -> None:
    """What each page needs, whoever reads it."""
    for text in HTML.values():
        assert '<html lang="en">' in text
        assert re.search(r"<title>[^<]+</title>", text)
        assert text.count('role="status"') == 1
        assert re.search(r"<noscript>.*JavaScript.*</noscript>", text, re.DOTALL)


@pytest.mark.parametrize("tokens", schemes(TEXTS["style.css"]), ids=["light", "dark"])
def test_every_text_can_be_read_on_its_ground(tokens: dict[str, str]) -> None:
    """Contrast of each pair of colours, light and dark."""
    for front, behind, least in PAIRS:
        assert contrast(tokens[front], tokens[behind]) >= least, f"{front} on {behind}"


def test_every_standing_has_words() -> None:
    for standing in get_args(Standing):
        assert re.search(rf'\b{standing}: gettext\("', SCRIPTS["words.js"]), standing


def run(script: str, given: object = None) -> Any:
    """What a script prints as JSON, in the browser driver's own Node."""
    node = Path(playwright.__file__).parent / "driver" / "node"
    told = subprocess.run(
        [node, "--input-type=module", "--eval", script],
        input=json.dumps(given), capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(told.stdout)


@pytest.mark.parametrize("outside", [("height",), ("height", "full hip", "shape of the outline")])
def test_what_lies_outside_is_told_in_the_words_of_the_card(outside: tuple[str, ...]) -> None:
    told = run(
        f'import {{ outsideWords }} from "{(PAGE / "words.js").as_uri()}";'
        f"console.log(JSON.stringify(outsideWords({json.dumps(outside)})));"
    )
    assert told == outside_words(outside)


def test_an_estimate_that_leans_on_the_tape_has_the_bound_of_the_card() -> None:
    held = {"value_mm": 767.63, "u_mm": 16.67, "standing": "estimated"}
    alone = {"low_mm": 720.8, "high_mm": 799.2}
    told = run(
        f'import {{ measured }} from "{(PAGE / "figures.js").as_uri()}";'
        f"const [held, alone] = {json.dumps([held, alone])};"
        'const leaning = { ...held, tightened_by: ["full_bust"] };'
        "console.log(JSON.stringify([measured(held, alone), measured(leaning, alone)]));"
    )
    for shown, (low, high) in zip(told, ((720.8, 799.2), interval_95(767.63, 16.67)), strict=True):
        assert f"{shown['cm']} ({shown['in']})" == in_words(767.63, low, high)


def test_figures_are_the_same_as_on_the_card() -> None:
    """Values, bounds and lengths in sentences, on every kind of step and half step."""
    chance = np.random.default_rng(20261125)
    rows = [
        [mm, round(mm - low, 2), round(mm + high, 2)]
        for mm in (
            *(round(chance.uniform(-200, 2300), 2) for _ in range(1500)),
            *(round(sixteenths * 25.4 / 16, 4) for sixteenths in range(20, 1500)),
            *(round(parts * 25.4 / 32, 4) for parts in range(-40, 200)),
            *(float(halves) / 2 for halves in range(-100, 1500)),
        )
        for low, high in [(chance.uniform(0, 80), chance.uniform(0, 80))]
    ]
    script = (
        f'import {{ figures, inBothUnits, inUnit }} from "{(PAGE / "figures.js").as_uri()}";'
        'import { readFileSync } from "node:fs";'
        "const rows = JSON.parse(readFileSync(0));"
        "console.log(JSON.stringify(rows.map(([mm, low, high]) => {"
        "const shown = figures(mm, low, high);"
        'return [shown.cm, shown.in, inBothUnits(mm), inBothUnits(low - mm), inUnit(mm, "in")];'
        " })));"
    )
    for (mm, low, high), shown in zip(rows, run(script, rows), strict=True):
        card = figures(mm, low, high)
        assert card.bound_inches is not None
        inches, bound = (" ".join(filter(None, one)) for one in (card.inches, card.bound_inches))
        assert shown == [
            f"{card.cm} ± {card.bound_cm} cm",
            f"{inches} ± {bound} in",
            in_both_units(mm),
            in_both_units(low - mm),
            in_both_units(mm).partition("(")[2].rstrip(")"),
        ]


@pytest.mark.parametrize(
    ("mm", "unit", "told"),
    [
        (265.1125, "in", "26.5 cm (10 7/16 in)"),
        (871.5375, "in", "87.2 cm (34 5/16 in)"),
        (925.0, "cm", "92.5 cm (36 3/8 in)"),
        # What lies on no mark of a ruler.
        (27.3 * 25.4, "in", "69.3 cm (27.3 in)"),
        (925.5, "cm", "92.55 cm (36 3/8 in)"),
    ],
)
def test_a_reading_is_told_no_coarser_than_it_was_typed(mm: float, unit: str, told: str) -> None:
    script = (
        f'import {{ understood }} from "{(PAGE / "figures.js").as_uri()}";'
        f'console.log(JSON.stringify(understood({mm}, "{unit}")));'
    )
    assert run(script) == told


@pytest.mark.parametrize("measured_by", get_args(MeasuredBy))
@pytest.mark.parametrize("worn", get_args(Worn))
def test_how_it_was_taken_is_told_in_the_words_of_the_command(
    measured_by: MeasuredBy, worn: Worn
) -> None:
    script = f"""
        import {{ takenWords }} from {json.dumps((PAGE / "taking.js").as_uri())};
        import {{ readFileSync }} from "node:fs";
        const taking = JSON.parse(readFileSync(0, "utf8"));
        console.log(JSON.stringify(["you", "her"].map((whom) => takenWords(taking, whom))));
    """
    told = run(script, {"measured_by": measured_by, "worn": worn})
    taken = Taken(measured_by, worn)
    assert told == [taken_words(taken, "you"), taken_words(taken, "her")]


@pytest.mark.parametrize("worn", get_args(Worn))
def test_what_lies_under_the_tape_is_told_where_the_command_tells_it(worn: Worn) -> None:
    script = f"""
        import {{ takenAt }} from {json.dumps((PAGE / "taking.js").as_uri())};
        import {{ readFileSync }} from "node:fs";
        const [kinds, taking] = JSON.parse(readFileSync(0, "utf8"));
        console.log(JSON.stringify(kinds.map((kind) => takenAt(kind, taking, "her"))));
    """
    kinds = [{"clothed": code in CLOTHED, "over_bra": code in OVER_BRA} for code in KINDS]
    told = run(script, [kinds, {"measured_by": "herself", "worn": worn}])
    assert told == [taken_words(Taken("herself", worn).at(code)) for code in KINDS]


def test_what_is_typed_anew_was_taken_as_it_was_where_that_was_the_same_for_all() -> None:
    script = f"""
        import {{ sharedTaking }} from {json.dumps((PAGE / "taking.js").as_uri())};
        import {{ readFileSync }} from "node:fs";
        console.log(JSON.stringify(sharedTaking(JSON.parse(readFileSync(0, "utf8")))));
    """
    alone = {"measured_by": "herself", "worn": "bra", "later": 1}
    helped = {"measured_by": "somebody", "worn": "bra"}
    told = run(script, [{"taking": alone}, {"taking": alone}])
    assert told == {"measured_by": "herself", "worn": "bra"}
    told = run(script, [{"taking": alone}, {"taking": helped}])
    assert told == {"measured_by": "untold", "worn": "bra"}


@pytest.mark.parametrize(("field", "choices"), [("measured-by", MeasuredBy), ("worn", Worn)])
def test_all_answers_can_be_chosen_and_none_is_one_of_them(field: str, choices: object) -> None:
    (select,) = re.findall(
        rf'<select id="{field}"[^>]*>(.*?)</select>', HTML["sitting.html"], re.DOTALL
    )
    answers = re.findall(r'<option value="([^"]+)">', select)
    assert sorted(answers) == sorted(get_args(choices))
    # What a new sitting has comes first; the others are in the order of the command.
    assert answers[0] == "untold"
    assert answers[1:] == [one for one in get_args(choices) if one != "untold"]
