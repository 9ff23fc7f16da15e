import pytest

from ellwand.measurements import KINDS
from ellwand.tape import Query
from ellwand.tape.order import ORDER_RULES

from .figures import PHOTOS, estimate, judged


def test_rules_are_about_measurements_that_there_are() -> None:
    for rule in ORDER_RULES:
        assert {rule.smaller, rule.larger} <= KINDS.keys()
        assert rule.allowance_mm > 0


# Photos that would believe either order, so that only the rule speaks.
WIDE = {code: estimate(code, 930.0, 40.0) for code in PHOTOS}


def about(entries: dict[str, str]) -> list[Query]:
    return [query for one in judged(entries, WIDE).values() for query in one.queries]


@pytest.mark.parametrize(("full", "count", "blocks"), [
    ("90.0", 0, False), ("89.9", 1, False), ("88.4", 1, False), ("88.3", 1, True),
])  # fmt: skip
def test_high_bust_may_exceed_full_bust_by_16_mm_with_a_remark_only(
    full: str, count: int, blocks: bool
) -> None:
    # ASTM D5585-11e1, table 1: 5/8 in at size 00; tenths round by half a millimetre each.
    found = about({"high_bust": "90.1", "full_bust": full.replace("90.0", "90.1")})
    assert len(found) == count
    assert all((query.rule, query.blocks) == ("order", blocks) for query in found)


def test_whole_centimetres_have_room_for_their_rounding() -> None:
    assert not any(query.blocks for query in about({"high_bust": "93", "full_bust": "91"}))
    assert any(query.blocks for query in about({"high_bust": "93.0", "full_bust": "91.0"}))


@pytest.mark.parametrize(
    ("entries", "count"),
    [
        ({"underbust": "92.0", "full_bust": "90.0"}, 0),
        ({"underbust": "92.2", "full_bust": "90.0"}, 1),
        ({"waist": "96.0", "high_hip": "90.0"}, 0),
        ({"waist": "96.2", "high_hip": "90.0"}, 1),
        ({"high_hip": "96.0", "full_hip": "90.0"}, 0),
        ({"high_hip": "96.2", "full_hip": "90.0"}, 1),
    ],
)
def test_girths_keep_their_order_within_an_allowance(entries: dict[str, str], count: int) -> None:
    assert [query.rule for query in about(entries)] == ["order"] * count


def test_of_two_values_out_of_order_the_one_likelier_wrong_is_queried() -> None:
    photos = {"high_bust": estimate("high_bust", 930.0, 40.0),
              "full_bust": estimate("full_bust", 950.0, 20.0)}  # fmt: skip
    found = judged({"high_bust": "97.0", "full_bust": "94.5"}, photos)
    assert [len(found[code].queries) for code in ("high_bust", "full_bust")] == [1, 0]
    assert found["high_bust"].queries[0].against == "full_bust"


def test_exchanged_fields_out_of_order_are_both_queried() -> None:
    photos = {"high_bust": estimate("high_bust", 900.0, 25.0),
              "full_bust": estimate("full_bust", 945.0, 25.0)}  # fmt: skip
    found = judged({"high_bust": "94.3", "full_bust": "90.2"}, photos)
    for code, other in (("high_bust", "full_bust"), ("full_bust", "high_bust")):
        (query,) = found[code].queries
        assert (query.against, query.blocks, query.slip) == (other, True, "fields exchanged")
