"""What she typed to readings and queries."""

from ellwand.tape.readings import Confirmed, Query, Reading, Rule, SlipName

__all__ = ["Confirmed", "Query", "Reading", "Rule", "SlipName"]
