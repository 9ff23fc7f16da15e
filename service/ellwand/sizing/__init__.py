"""Confirmed numbers to a size and a plan."""

from ellwand.listing import listed
from ellwand.sizing.block import Block, EaseRange, Garment, LengthClass, Size
from ellwand.sizing.block_file import block_from_toml, load_block
from ellwand.sizing.chart import ease_chart
from ellwand.sizing.choose import BETTER_TAPED, REQUIRED, decide
from ellwand.sizing.compare import Compared, Comparison, called, compare
from ellwand.sizing.decision import (
    Change,
    Choice,
    Decision,
    LevelEase,
    Step,
    decision_from_json,
)
from ellwand.sizing.demo_blocks import DemoRange, demo_block, demo_block_toml, write_new_block
from ellwand.sizing.designation import Designation, designation_words
from ellwand.sizing.learnt import (
    Examined,
    Known,
    Learnt,
    Outcome,
    Way,
    examined,
    outcomes,
    pattern_words,
)
from ellwand.sizing.naming import (
    at_words,
    block_words,
    fabric_words,
    garment_words,
    length_words,
    note_words,
)
from ellwand.sizing.redecided import Redecided, redecided
from ellwand.sizing.strips import Strips, ease_strips
from ellwand.sizing.tryon import (
    FINDINGS,
    TRY_ON_LEVELS,
    Finding,
    FindingCode,
    TryOnLevel,
    finding_named,
    finding_words,
    refuse_contradictions,
)
from ellwand.sizing.wording import ease_words, limit_words, span_words
from ellwand.sizing.worn import Made, Sewn, Worn, has_plan, worn

__all__ = [
    "BETTER_TAPED",
    "FINDINGS",
    "REQUIRED",
    "TRY_ON_LEVELS",
    "Block",
    "Change",
    "Choice",
    "Compared",
    "Comparison",
    "Decision",
    "DemoRange",
    "Designation",
    "EaseRange",
    "Examined",
    "Finding",
    "FindingCode",
    "Garment",
    "Known",
    "Learnt",
    "LengthClass",
    "LevelEase",
    "Made",
    "Outcome",
    "Redecided",
    "Sewn",
    "Size",
    "Step",
    "Strips",
    "TryOnLevel",
    "Way",
    "Worn",
    "at_words",
    "block_from_toml",
    "block_words",
    "called",
    "compare",
    "decide",
    "decision_from_json",
    "demo_block",
    "demo_block_toml",
    "designation_words",
    "ease_chart",
    "ease_strips",
    "ease_words",
    "examined",
    "fabric_words",
    "finding_named",
    "finding_words",
    "garment_words",
    "has_plan",
    "length_words",
    "limit_words",
    "listed",
    "load_block",
    "note_words",
    "outcomes",
    "pattern_words",
    "redecided",
    "refuse_contradictions",
    "span_words",
    "worn",
    "write_new_block",
]
