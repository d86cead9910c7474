"""House rules: finding them, asking them, and saying which of them asked for what."""

from planner.rules.asking import ActiveRule, RuleFailure
from planner.rules.habits import Habits
from planner.rules.loading import GROUP, IdleRule, Rules, load_rules, rule_of_module, rules_for

__all__ = [
    "GROUP",
    "ActiveRule",
    "Habits",
    "IdleRule",
    "RuleFailure",
    "Rules",
    "load_rules",
    "rule_of_module",
    "rules_for",
]
