"""What she typed to readings and queries."""

from ellwand.tape.beforehand import BEFORE, CAUTIONS
from ellwand.tape.crooked import DROPS_MM, Crooked, Section, crooked, crooked_words, section_of
from ellwand.tape.entry import check_code, enter
from ellwand.tape.form import look_at
from ellwand.tape.howto import HOW_TOS, HowTo
from ellwand.tape.judge import Judged, judge
from ellwand.tape.mistyped import length_meant, readable
from ellwand.tape.readings import Confirmed, Query, Reading, Rule, SlipName
from ellwand.tape.repeats import (
    Taped,
    TechnicalError,
    agreeing,
    summarise,
    technical_error,
    tolerance_mm,
)
from ellwand.tape.sentences import as_typed, scatter
from ellwand.tape.taking import (
    CLOTHED,
    OVER_BRA,
    MeasuredBy,
    Taken,
    Worn,
    taken_words,
    worn_remarks,
    worn_words,
)

__all__ = [
    "BEFORE",
    "CAUTIONS",
    "CLOTHED",
    "DROPS_MM",
    "HOW_TOS",
    "OVER_BRA",
    "Confirmed",
    "Crooked",
    "HowTo",
    "Judged",
    "MeasuredBy",
    "Query",
    "Reading",
    "Rule",
    "Section",
    "SlipName",
    "Taken",
    "Taped",
    "TechnicalError",
    "Worn",
    "agreeing",
    "as_typed",
    "check_code",
    "crooked",
    "crooked_words",
    "enter",
    "judge",
    "length_meant",
    "look_at",
    "readable",
    "scatter",
    "section_of",
    "summarise",
    "taken_words",
    "technical_error",
    "tolerance_mm",
    "worn_remarks",
    "worn_words",
]
