"""Dates that a rule set's times come to: when the permit would run out, when to ask for more, when the mast must be gone."""

from __future__ import annotations

import calendar
import datetime

from siting.checks.rule_words import source_words
from siting.records.rules import PermitDates, RuleSet


def permit_dates(rule_set: RuleSet, day: datetime.date) -> PermitDates | None:
    """The dates of a rule set, counted from a day as the day of the permit; None where the rules say nothing of time.

    Months are calendar months: the same day of the month, or its last day where it has no such day (31 January + 1 month
    = 28 or 29 February). Days are calendar days. No weekend or holiday is looked at.
    """
    expires = _months_on(day, rule_set.expires_months)
    longer = _months_on(expires, rule_set.extension_months) if expires else None
    asked = rule_set.extension_asked_days
    ask_by = expires - datetime.timedelta(days=asked or 0) if longer else None
    gone = expires + datetime.timedelta(days=rule_set.removal_days) if expires and rule_set.removal_days is not None else None
    if expires is None and rule_set.removal_days is None:
        return None
    return PermitDates(
        rule_set=rule_set.name,
        expires=_text(expires),
        ask_by=_text(ask_by),
        remove_by=_text(gone),
        text=_words(rule_set, day, expires, longer, gone),
    )


def _months_on(day: datetime.date, months: float | None) -> datetime.date | None:
    """The same day some whole months later, or that month's last day."""
    if months is None:
        return None
    year, month = divmod(day.year * 12 + day.month - 1 + round(months), 12)
    return datetime.date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _text(day: datetime.date | None) -> str:
    return day.isoformat() if day else ""


def _words(
    rule_set: RuleSet, day: datetime.date, expires: datetime.date | None, longer: datetime.date | None, gone: datetime.date | None
) -> str:
    """The dates in plain words, with their source."""
    said = []
    if expires:
        said.append(f"A permit of {day.isoformat()} would run out on {expires.isoformat()} ({rule_set.expires_months:g} months).")
    if longer:
        asked = rule_set.extension_asked_days
        latest = expires - datetime.timedelta(days=asked or 0)
        before = f"at least {asked:g} days before" if asked else "before it runs out"
        said.append(
            f"An extension of {rule_set.extension_months:g} months, to {longer.isoformat()}, must be asked for by "
            f"{latest.isoformat()} ({before})."
        )
    if gone:
        said.append(
            f"The mast must be gone by {gone.isoformat()} ({rule_set.removal_days:g} days after the permit runs out), or so many days "
            "after its last use where that is earlier."
        )
    elif rule_set.removal_days is not None:
        said.append(f"The mast must be gone within {rule_set.removal_days:g} days of its last use.")
    if expires or longer:
        said.append("Calendar months; weekends and holidays are not looked at; the permit's own dates come first.")
    return f"{' '.join(said)} Source: {source_words(rule_set.source, '', rule_set.date_read)}."
