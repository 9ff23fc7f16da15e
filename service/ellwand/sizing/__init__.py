"""Confirmed numbers to a size and a plan."""

from ellwand.sizing.block import Block, EaseRange, Garment, LengthClass, Size
from ellwand.sizing.block_file import block_from_toml, load_block
from ellwand.sizing.chart import ease_chart
from ellwand.sizing.choose import BETTER_TAPED, REQUIRED, decide, span_words
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
from ellwand.sizing.wording import ease_words, limit_words, listed

__all__ = [
    "BETTER_TAPED",
    "REQUIRED",
    "Block",
    "Change",
    "Choice",
    "Compared",
    "Comparison",
    "Decision",
    "DemoRange",
    "Designation",
    "EaseRange",
    "Garment",
    "LengthClass",
    "LevelEase",
    "Size",
    "Step",
    "block_from_toml",
    "called",
    "compare",
    "decide",
    "decision_from_json",
    "demo_block",
    "demo_block_toml",
    "designation_words",
    "ease_chart",
    "ease_words",
    "limit_words",
    "listed",
    "load_block",
    "span_words",
    "write_new_block",
]
