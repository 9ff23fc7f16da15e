"""What is seen at a try-on: the handbook's pages, the plain case, and what must always hold."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.errors import EntryProblem
from ellwand.sizing import (
    FINDINGS,
    TRY_ON_LEVELS,
    Decision,
    Examined,
    Finding,
    Made,
    Sewn,
    Worn,
    decide,
    demo_block,
    examined,
    finding_named,
    finding_words,
    outcomes,
    refuse_contradictions,
    worn,
)
from ellwand.sizing.block import EASE_LEVELS
from ellwand.sizing.causes import weighed
from ellwand.sizing.chances import NAMED_CHANCE
from ellwand.sizing.learnt import Known, Learnt, Way, pattern_words
from ellwand.sizing.size_parts import parts_words, size_parts
from ellwand.sizing.tryon import all_findings
from ellwand.tape import Confirmed

from .test_size_decision import guessed, on_block, taped

BLOCK = demo_block()
SIZE_5 = BLOCK.sizes[4]
INCH_MM = 25.4
# Size 5's full hip is drafted with 80 mm of ease, 40 mm are the least: 19.05 mm are lacking.
TIGHT_HIP_MM = 1030 + 80 - 40 + 0.75 * INCH_MM


def try_on(
    customer: dict[str, Confirmed],
    *findings: Finding,
    made: Made = "plain",
    garment: str = "blouse",
    before: dict[str, Sewn] | None = None,
) -> tuple[Worn, tuple[Examined, ...]]:
    """A garment of the demo block on a customer, with what is seen."""
    decision = decide(customer, {}, BLOCK, garment)
    body = worn(decision, BLOCK, customer, made, before or {})  # type: ignore[arg-type]
    return body, examined(findings, body)


def first(one: Examined) -> str:
    """The cause to look at first, in words; none where the numbers speak against all."""
    cause = one.causes[0][0]
    return cause.words if cause.possible else "none"


def weights(one: Examined) -> dict[str, str]:
    """How each cause stands, by its words."""
    return {cause.words: cause.weight for cause, _ in one.causes}


# A page of the handbook. What is seen, what is known of her beside size 5 of the demo block
# (millimetres), what it comes from first.
HANDBOOK: list[tuple[str, dict[str, float], str]] = [
    ("rides up at the back", {"full_hip": 1089}, "too little width at the full hip"),
    ("rides up at the back", {"high_hip": 1030}, "too little width at the high hip"),
    ("rides up at the back", {"waist": 910}, "too little width at the waist"),
    (
        "rides up at the back",
        {"full_hip": 1089, "back_waist_length": 380},
        "too little width at the full hip",
    ),
    ("rides up at the back", {"back_waist_length": 380}, "the back is too long (sway back)"),
    ("rides up at the back", {"back_waist_length": 412}, "none"),
    ("rides up at the back", {}, "the back is too long (sway back)"),
    ("folds at the back waist", {"full_hip": 1089}, "too little width at the full hip"),
    ("rides up at the front", {"full_bust": 1035}, "her cup is fuller than the front is made for"),
    ("waist sits too high", {"back_waist_length": 440}, "the bodice is too short above the waist"),
    ("snug at the full hip", {"full_hip": 1089}, "too little width at the full hip"),
    ("snug at the full hip", {}, "too little width at the full hip"),
    ("snug at the upper arm", {}, "too little width at the upper arm"),
    ("loose at the waist", {"waist": 700}, "too much width at the waist"),
    ("gapes at the neckline", {"full_bust": 1035}, "her cup is fuller than the front is made for"),
    (
        "gapes at the neckline",
        {"high_bust": 901, "full_bust": 951},
        "too much width at the high bust",
    ),
    ("gapes at the neckline", {}, "the neck edge was stretched in sewing"),
    ("gapes between the buttons", {"full_bust": 1035}, "too little width at the full bust"),
    ("gapes at the armhole", {"full_bust": 1035}, "her cup is fuller than the front is made for"),
    (
        "drag lines from the bust",
        {"full_bust": 1035},
        "her cup is fuller than the front is made for",
    ),
    ("drag lines from the bust", {}, "the darts do not point to her bust point"),
    ("shoulder falls off", {"shoulder_width": 370}, "the shoulders are wider than hers"),
    ("shoulder falls off", {"shoulder_width": 394}, "her shoulders slope more than the block's"),
    ("shoulder seam ends short", {"shoulder_width": 420}, "the shoulders are narrower than hers"),
    ("pulls across the back", {"high_bust": 939}, "too little width at the high bust"),
    ("sleeve cap pulls", {}, "too little width at the upper arm"),
]


@pytest.mark.parametrize(("words", "known", "cause"), HANDBOOK)
def test_the_numbers_tell_where_it_comes_from(
    words: str, known: dict[str, float], cause: str
) -> None:
    # Kept apart from its neighbours: a girth that moves takes its size with it.
    _, (one,) = try_on(on_block("5", **known), finding_named(words))
    if cause == "none":
        assert {"likely", "open"}.isdisjoint(weights(one).values())
    else:
        assert first(one) == cause


def test_the_plain_case() -> None:
    """The back rides up because the full hip is tight: side seams first, the sway back not."""
    customer = on_block("5", full_hip=TIGHT_HIP_MM)
    body, (rides, snug) = try_on(
        customer, finding_named("rides up at the back"), finding_named("snug at full hip")
    )
    assert first(rides) == first(snug) == "too little width at the full hip"
    assert weights(rides)["the back is too long (sway back)"] == "later"
    assert rides.causes[-1][0].why.startswith("Leave it alone until the width at the full hip")
    asked = rides.causes[0][1]
    assert asked.each_edge_mm == pytest.approx(3 / 16 * INCH_MM)
    assert asked.gain_mm == pytest.approx(4 * 3 / 16 * INCH_MM) == pytest.approx(0.75 * INCH_MM)
    assert asked.remaining_mm == 0
    assert asked.low_mm == pytest.approx(0.75 * INCH_MM - 1.96 * 5)
    assert "0.5 cm (3/16 in) at each of 4 edges, which gains 1.9 cm (3/4 in)" in asked.now
    assert "Size 5 at the bust, at least half a size more at the full hip" in asked.next_time
    shown = outcomes((rides, snug), body)
    assert list(shown) == ["full_hip"]
    assert shown["full_hip"].wanted_mm == pytest.approx(0.75 * INCH_MM)


def test_what_was_measured_on_her_goes_before_the_numbers() -> None:
    _, (one,) = try_on(on_block("5", full_hip=1069), finding_named("snug at full hip", 12.0))
    asked = one.causes[0][1]
    assert (asked.lacking_mm, asked.low_mm, asked.high_mm) == (12.0, 12.0, 12.0)
    assert asked.each_edge_mm == 3.0


def test_a_garment_cut_as_planned_has_what_the_plan_gave_it() -> None:
    customer = on_block("5", full_hip=TIGHT_HIP_MM)
    rides = finding_named("rides up at the back")
    plain, _ = try_on(customer, rides, made="plain")
    body, (one,) = try_on(customer, rides, made="planned")
    assert body.levels["full_hip"].ease_mm - plain.levels["full_hip"].ease_mm == 40
    assert weights(one)["too little width at the full hip"] == "unlikely"


def test_what_the_allowance_lacks_remains() -> None:
    # 40 mm are lacking, and 6 mm at each of four edges are to be had.
    _, (one,) = try_on(on_block("5", full_hip=1110), finding_named("snug at full hip"))
    asked = one.causes[0][1]
    assert (asked.each_edge_mm, asked.gain_mm, asked.remaining_mm) == (6, 24, 16)
    assert asked.wanted_mm == 40
    assert "1.6 cm (5/8 in) would still be lacking" in asked.now
    assert "0.6 cm (3/16 in) at each of 4 edges" in asked.now


def test_a_french_seam_has_nothing_to_give() -> None:
    _, (one,) = try_on(
        on_block("5", high_hip=1040), finding_named("snug at high hip"), garment="sheer-blouse"
    )
    asked = one.causes[0][1]
    assert (asked.gain_mm, asked.each_edge_mm) == (0, 0)
    assert asked.lacking_mm == asked.remaining_mm == 1040 + 10 - 960 - 110 + 50
    assert "French seam" in asked.now


def test_a_seam_that_was_let_out_has_so_much_less_to_give() -> None:
    before = {"full_hip": Sewn(20.0, 20.0)}
    body, (one,) = try_on(
        on_block("5", full_hip=1110), finding_named("snug at full hip"), made="altered",
        before=before,
    )  # fmt: skip
    assert body.spare_mm("full_hip") == 1.0
    asked = one.causes[0][1]
    assert (asked.lacking_mm, asked.gain_mm, asked.wanted_mm) == (20, 4, 40)


def test_a_sway_back_is_told_with_its_amount_where_the_hips_are_wide_enough() -> None:
    _, (one,) = try_on(on_block("5", back_waist_length=380), finding_named("rides up at the back"))
    cause, asked = one.causes[0]
    assert cause.weight == "likely"
    assert "Take 3.2 cm (1 1/4 in) out of the centre back" in asked.next_time


def test_where_numbers_say_nothing_the_order_of_the_trade_counts_and_is_told() -> None:
    customer = on_block("5")
    del customer["high_hip"]
    _, (one,) = try_on(customer, finding_named("rides up at the back"))
    assert first(one) == "too little width at the high hip"
    assert "not known, so the numbers say nothing" in one.causes[0][0].why
    assert one.causes[-1][0].weight == "later"


def test_an_estimate_speaks_with_its_bound() -> None:
    customer = on_block("5")
    del customer["full_hip"]
    decision = decide(customer, guessed(full_hip=(1020, 1100)), BLOCK)
    body = worn(decision, BLOCK, customer, "plain", {})
    row = body.levels["full_hip"]
    assert (row.ease_mm, row.u_mm, row.taped_mm) == (50, pytest.approx(40 / 1.96), None)
    (cause, *_) = weighed(finding_named("rides up at the back"), (), body)
    # (40 - 50) / 20.4 = -0.49, below which 31 % lie.
    assert cause.chance == pytest.approx(0.312, abs=0.001)
    assert cause.weight == "likely"


def test_what_the_numbers_speak_against_is_believed_and_doubted_aloud() -> None:
    _, (one,) = try_on(on_block("5"), finding_named("snug at full hip"))
    cause, asked = one.causes[0]
    assert cause.weight == "seen"
    assert "The numbers speak against it" in cause.why
    assert asked.lacking_mm is None
    assert "record it with --by" in asked.now


@pytest.mark.parametrize("finding", all_findings(), ids=finding_words)
def test_every_finding_can_be_said_with_or_without_the(finding: Finding) -> None:
    words = finding_words(finding)
    assert finding_named(words) == finding
    assert finding_named(words.upper().replace(" the ", "  ").replace(" ", "-")) == finding
    assert FINDINGS[finding.code].see.endswith("?")


@pytest.mark.parametrize(
    ("words", "by_mm", "code"),
    [
        ("snug", None, "unknown-finding"),
        ("snug at the knee", None, "unknown-finding"),
        ("rides up", None, "unknown-finding"),
        ("rides up at the back", 10.0, "amount-without-level"),
        ("fits at the waist", 10.0, "amount-without-level"),
        ("snug at the waist", 254.0, "amount-implausible"),
    ],
)
def test_what_is_no_finding_is_refused(words: str, by_mm: float | None, code: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        finding_named(words, by_mm)
    assert caught.value.code == code


def test_a_level_cannot_be_snug_and_loose() -> None:
    with pytest.raises(EntryProblem, match="full hip"):
        refuse_contradictions((Finding("snug", "full_hip"), Finding("loose", "full_hip")))
    refuse_contradictions((Finding("snug", "full_hip"), Finding("loose", "waist")))


def test_a_decision_on_another_block_is_refused() -> None:
    customer = on_block("5")
    decision = decide(customer, {}, BLOCK)
    with pytest.raises(EntryProblem) as caught:
        worn(decision, replace(BLOCK, name="another"), customer, "plain", {})
    assert caught.value.code == "decided-on-another-block"


# Full hip drafted for, from size 5 (103 cm; 4: 99, 6: 107, 7: 112, 10: 129), in sizes and words.
PARTS = [
    (1030, 0, "as drafted"),
    (1039, 0, "as drafted"),
    (1041, 0.5, "half a size more"),
    (1049, 0.5, "half a size more"),
    (1070, 1, "one size more"),
    (1095, 1.5, "one and a half sizes more"),
    (1120, 2, "two sizes more"),
    (1290, 5, "5 sizes more"),
    (1350, 6, "6 sizes more"),
    (1010, -0.5, "half a size less"),
    (990, -1, "one size less"),
    (850, -4.5, "four and a half sizes less"),
]


@pytest.mark.parametrize(("girth_mm", "parts", "words"), PARTS)
def test_girths_are_told_in_halves_of_a_size(girth_mm: float, parts: float, words: str) -> None:
    assert size_parts(girth_mm, SIZE_5, BLOCK, "full_hip") == parts
    assert parts_words(parts) == words


# What the try-on showed at the full hip (a girth to draft for), what the numbers plan there beyond
# size 5, and what the next order gets beyond size 5.
NEXT_ORDER: list[tuple[Way, Known, float, float, float]] = [
    ("snug", "measured", 1049, 40, 19),
    ("snug", "numbers", 1049, 40, 40),
    ("snug", "numbers", 1090, 40, 60),
    ("snug", "unknown", 1030, 40, 40),
    ("snug", "unknown", 1080, 40, 50),
    ("loose", "measured", 1049, 40, 19),
    ("loose", "numbers", 1049, 40, 19),
    ("loose", "numbers", 1090, 40, 40),
    ("fits", "measured", 1049, 0, 19),
    ("fits", "measured", 1030, 40, 0),
    ("fits", "measured", 1010, 0, -20),
]


@pytest.mark.parametrize(("way", "known", "girth_mm", "plan_mm", "gets_mm"), NEXT_ORDER)
def test_the_next_order_starts_from_the_last_try_on(
    way: Way, known: Known, girth_mm: float, plan_mm: float, gets_mm: float
) -> None:
    customer = on_block("5", full_hip=TIGHT_HIP_MM if plan_mm else 1030)
    taped_mm = customer["full_hip"].value_mm
    shown = (Learnt("full_hip", way, girth_mm, known, taped_mm),)
    assert added(decide(customer, {}, BLOCK)) == plan_mm
    decision = decide(customer, {}, BLOCK, learnt=shown)
    assert added(decision) == gets_mm
    assert sum("ast try-on" in caution for caution in decision.cautions) == 1
    # Nothing else moves.
    assert decision.size == decide(customer, {}, BLOCK).size
    assert {c.level for c in decision.changes} <= {"full_hip"}


def added(decision: Decision) -> float:
    return sum(c.low_mm for c in decision.changes if (c.code, c.level) == ("grade", "full_hip"))


def test_what_the_next_pattern_is_said_in_sizes() -> None:
    shown = (Learnt("full_hip", "snug", 1049.05, "measured", 1030.0),)
    decision = decide(on_block("5"), {}, BLOCK, learnt=shown)
    assert pattern_words(decision.changes, SIZE_5, BLOCK) == (
        "size 5 at the bust, half a size more at the full hip"
    )
    assert decision.changes[0].reason.startswith("As the last try-on showed: size 5 at the bust")
    assert pattern_words((), SIZE_5, BLOCK) == "size 5"


def test_a_try_on_counts_from_the_girth_when_the_size_becomes_another() -> None:
    shown = (Learnt("full_hip", "fits", 1049.0, "measured", 1030.0),)
    decision = decide(on_block("6", full_hip=1030), {}, BLOCK, learnt=shown)
    assert decision.size.name == "6"
    assert added(decision) == 1049 - 1070


def test_a_hip_that_is_taped_anew_is_another_hip() -> None:
    shown = (Learnt("full_hip", "fits", 1049.0, "measured", 1030.0),)
    decision = decide(on_block("5", full_hip=1060), {}, BLOCK, learnt=shown)
    assert decision.changes == ()
    assert "taped anew" in decision.cautions[0]


def test_a_fuller_front_is_learnt_as_a_bust_adjustment() -> None:
    shown = (Learnt("full_bust", "snug", 1000.0, "measured", 970.0),)
    (change,) = decide(on_block("5"), {}, BLOCK, learnt=shown).changes
    assert (change.code, change.low_mm, change.parts) == ("full-bust-adjustment", 30, 2)
    shown = (Learnt("full_bust", "loose", 950.0, "measured", 970.0),)
    (change,) = decide(on_block("5"), {}, BLOCK, learnt=shown).changes
    assert (change.code, change.low_mm) == ("small-bust-adjustment", 20)
    assert "a small bust adjustment of 2.0 cm (3/4 in)" in change.reason


LENGTHS = {
    "high_bust": st.floats(740, 1230),
    "full_bust": st.floats(760, 1350),
    "waist": st.floats(600, 1200),
    "high_hip": st.floats(760, 1350),
    "full_hip": st.floats(830, 1450),
}
OPTIONAL = {"shoulder_width": st.floats(350, 450), "back_waist_length": st.floats(370, 450)}
CUSTOMERS = st.fixed_dictionaries(
    {"stature": st.floats(1500, 1850), **LENGTHS}, optional=OPTIONAL
).map(lambda values: taped(**values))
SEEN = st.lists(st.sampled_from(all_findings()), min_size=1, max_size=5, unique=True).filter(
    lambda seen: len({one.level for one in seen if one.level}) == sum(1 for f in seen if f.level)
)
MADE = st.sampled_from(["plain", "planned"])


@given(CUSTOMERS, SEEN, MADE, st.randoms(use_true_random=False))
def test_in_whatever_order_it_is_said_the_same_comes_of_it(
    customer: dict[str, Confirmed], seen: list[Finding], made: Made, random: Random
) -> None:
    body, found = try_on(customer, *seen, made=made)
    random.shuffle(seen)
    again, other = try_on(customer, *seen, made=made)
    by_words = {finding_words(one.finding): one.causes for one in other}
    assert {finding_words(one.finding): one.causes for one in found} == by_words
    assert outcomes(found, body) == outcomes(other, again)


@given(CUSTOMERS, SEEN, MADE)
def test_the_sway_back_is_left_alone_while_a_hip_is_likely_tight(
    customer: dict[str, Confirmed], seen: list[Finding], made: Made
) -> None:
    body, found = try_on(customer, *seen, made=made)
    for one in found:
        tight = [
            cause
            for cause, _ in one.causes
            if cause.cause.code == "tight"
            and cause.cause.level in ("high_hip", "full_hip")
            and ((cause.chance or 0) >= NAMED_CHANCE or cause.weight == "seen")
            and Finding("loose", cause.cause.level) not in seen
            and Finding("fits", cause.cause.level) not in seen
        ]
        back = [cause for cause, _ in one.causes if cause.cause.code == "back-too-long"]
        if tight and back:
            assert [cause.weight for cause in back] == ["later"]
            assert one.causes[-1][0] is back[0]
    assert all(told.level in EASE_LEVELS for told in outcomes(found, body).values())


@given(
    CUSTOMERS,
    st.lists(st.tuples(st.sampled_from(TRY_ON_LEVELS), st.floats(1, 200)), min_size=1, max_size=6),
    st.sampled_from(list(BLOCK.garments)),
)
def test_however_often_it_is_altered_the_allowance_is_never_exceeded(
    customer: dict[str, Confirmed], tries: list[tuple[str, float]], name: str
) -> None:
    garment = BLOCK.garments[name]
    room = 4 * (garment.allowance_mm - garment.allowance_kept_mm)
    before: dict[str, Sewn] = {}
    for level, by_mm in tries:
        if level not in garment.levels:
            continue
        seen = Finding("snug", level, by_mm)  # type: ignore[arg-type]
        body, found = try_on(customer, seen, made="altered", garment=name, before=before)
        (told,) = outcomes(found, body).values()
        asked = next(r for c, r in found[0].causes if c.cause.level == level)
        assert 0 <= told.gain_mm <= by_mm + 1e-9
        assert asked.gain_mm + asked.remaining_mm == pytest.approx(by_mm)
        before = {**body.sewn}  # type: ignore[dict-item]
        had = body.sewn[told.level]
        before[level] = Sewn(had.added_mm + told.gain_mm, had.let_out_mm + told.gain_mm)
        assert before[level].let_out_mm <= room + 1e-9
        if garment.seam == "french":
            assert told.gain_mm == 0
