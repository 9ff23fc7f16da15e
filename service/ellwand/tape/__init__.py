"""What she typed to readings and queries."""

from ellwand.tape.entry import check_code, enter
from ellwand.tape.judge import Judged, judge
from ellwand.tape.readings import Confirmed, Query, Reading, Rule, SlipName
from ellwand.tape.repeats import (
    Taped,
    TechnicalError,
    agreeing,
    summarise,
    technical_error,
    tolerance_mm,
)

__all__ = [
    "Confirmed",
    "Judged",
    "Query",
    "Reading",
    "Rule",
    "SlipName",
    "Taped",
    "TechnicalError",
    "agreeing",
    "check_code",
    "enter",
    "judge",
    "summarise",
    "technical_error",
    "tolerance_mm",
]
