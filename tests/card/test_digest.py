"""The digest on the card: the same for the same card, another for any other."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card import card_json, digest_of, digest_of_json, grouped, is_same
from ellwand.card.digest import canonical
from ellwand.errors import EntryProblem

from .test_card_json import FILES, SMALL, full

DIGEST = digest_of(SMALL)


@pytest.mark.parametrize(
    ("value", "written"),
    [
        # RFC 8785, 3.2.2.3 and appendix B: figures as ECMAScript writes them.
        (333333333.33333329, "333333333.3333333"),
        (1e30, "1e+30"),
        (4.50, "4.5"),
        (2e-3, "0.002"),
        (1e-27, "1e-27"),
        (-0.0, "0"),
        (5e-324, "5e-324"),
        (1.7976931348623157e308, "1.7976931348623157e+308"),
        (9007199254740992, "9007199254740992"),
        (295147905179352830000.0, "295147905179352830000"),
        (9.999999999999997e22, "9.999999999999997e+22"),
        (1e23, "1e+23"),
        (9.5367431640625e-7, "9.5367431640625e-7"),
        (0.000001, "0.000001"),
        # 3.2.2.2: strings.
        ('\u20ac$\u000f\nA\'B"\\\\"/', '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'),
        ([None, True, False], "[null,true,false]"),
        # 3.2.3: keys by UTF-16 code units, so an emoji before a Hebrew form.
        ({"\ufb33": 1, "\U0001f600": 2, "1": 3}, '{"1":3,"\U0001f600":2,"\ufb33":1}'),
    ],
)
def test_json_has_one_canonical_form(value: object, written: str) -> None:
    assert canonical(value) == written


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_in_canonical_form_is_the_same_number(value: float) -> None:
    assert float(canonical(value)) == value


def test_it_is_worked_out_of_the_file_alone_however_it_is_spaced() -> None:
    data = card_json(SMALL)
    told = json.loads(data)
    assert digest_of_json(data) == DIGEST
    assert digest_of_json(json.dumps(dict(reversed(told.items()))).encode()) == DIGEST


def test_whom_it_is_for_and_the_paper_do_not_matter() -> None:
    assert digest_of(replace(SMALL, customer="", taken_on="", paper="letter")) == DIGEST


@pytest.mark.parametrize("row", [0, 1])
@pytest.mark.parametrize("by_mm", [-1, 0.001])
def test_a_changed_number_shows(row: int, by_mm: float) -> None:
    told = json.loads(card_json(SMALL))
    told["rows"][row]["value_mm"] += by_mm
    assert not is_same(json.dumps(told).encode(), DIGEST)


def test_anything_else_that_changes_shows() -> None:
    told = json.loads(card_json(full()))
    printed = digest_of(full())
    for key, value in told.items():
        assert is_same(json.dumps(told | {key: value}).encode(), printed)
        if key != "format":
            assert not is_same(json.dumps(told | {key: "other"}).encode(), printed)
    assert not is_same(json.dumps(told | {"more": 1}).encode(), printed)


@pytest.mark.parametrize("as_typed", [grouped(DIGEST), DIGEST.upper(), f" {DIGEST}\n",
                                      "-".join(grouped(DIGEST).split())])  # fmt: skip
def test_it_can_be_typed_in_groups_or_not(as_typed: str) -> None:
    assert is_same(card_json(SMALL), as_typed)


@pytest.mark.parametrize("as_typed", ["", DIGEST[:-1], DIGEST + "0", "g" * 16])
def test_what_is_no_digest_is_said_to_be_none(as_typed: str) -> None:
    with pytest.raises(EntryProblem, match="not the figures of a card"):
        is_same(card_json(SMALL), as_typed)


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"1", b"{}", b'{"format":"ellwand-sitting"}', b"\xff", b"[" * 99999]
)
def test_what_is_no_card_has_no_digest(data: bytes) -> None:
    with pytest.raises(EntryProblem, match="no saved measurement card"):
        digest_of_json(data)


@pytest.mark.parametrize("more", ["NaN", "1e999", '"\\ud800"', '1,"a":1'])
def test_what_could_be_read_in_two_ways_has_no_digest(more: str) -> None:
    sound, broken = (f'{{"format":"ellwand-card","a":{one}}}'.encode() for one in ("1", more))
    assert len(digest_of_json(sound)) == 16
    with pytest.raises(EntryProblem, match="no saved measurement card"):
        digest_of_json(broken)


@pytest.mark.parametrize(
    ("version", "printed"),
    [("v1", "ebf2 d26f 3245 8fcd"), ("v2", "3bba 9a5c 53dc dfed"), ("v3", "c891 34f2 e4ba 4427")],
)
def test_a_copy_kept_since_an_earlier_version_still_has_its_printed_figures(
    version: str, printed: str
) -> None:
    assert is_same((FILES / f"{version}.json").read_bytes(), printed)
