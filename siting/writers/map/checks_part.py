"""The checks and the gaps in the map's panel: found against limit, how much of it is used, and what could not be checked."""

from __future__ import annotations

from html import escape

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.verdict import PASS
from siting.writers.map.markup import plain, section, sentence, word
from siting.writers.map.words import VERDICT_WORDS, capital

# The bar of a check ends at this utilisation; the mark of the limit (1.0) stands at two thirds of it (map.css).
BAR_END = 1.5


def item(verdict: str, title: str, content: str) -> str:
    """A box with its verdict as word, sign and edge; `content` is HTML. No unit."""
    return f'<div class="item is-{verdict}"><div class="top"><h3>{escape(capital(title))}</h3>{word(verdict)}</div>{content}</div>'


def _check(check: Check) -> str:
    """One check: found against limit, how much of the limit is used, where, and where the limit comes from."""
    kind = CHECK_QUANTITIES.get(check.unit, check.unit)  # "count" names its quantity itself
    doubt = f" ± {shown(check.uncertainty, kind)}" if check.uncertainty else ""
    found = f"{shown(check.value, kind)}{doubt}, {'at least' if check.limit_is_least else 'at most'} {shown(check.limit, kind)}"
    place = f"{capital(check.place)}. " if check.place else ""
    width = min(check.utilisation / BAR_END, 1.0) * 100
    bar = f'<div class="bar" aria-hidden="true"><i style="width:{width:.1f}%"></i><b></b></div>'
    return item(
        check.verdict,
        check.label,
        f'<div class="used"><span class="figure">{escape(found)}</span>'
        f"<span>utilisation {shown(check.utilisation, 'ratio')}</span>{bar}</div>"
        f'<p class="small">{escape(place)}Limit: {escape(check.source)} · {escape(check.id)}</p>',
    )


def _counts(plan: Plan) -> str:
    """How many checks of each verdict there are, the worst first, as words."""
    found = [check.verdict for check in plan.checks]
    counts = ((name, found.count(name)) for name in ("fail", "marginal", "pass"))
    return f'<span class="told">{", ".join(f"{count} {VERDICT_WORDS[name].lower()}" for name, count in counts if count)}</span>'


def checks_part(plan: Plan) -> str:
    """Every check, the tightest first; open where one does not pass. HTML, units in its words."""
    is_open = any(check.verdict != PASS for check in plan.checks)
    content = "".join(_check(check) for check in plan.checks)
    return section("Checks, the tightest first", content, "checks", told=_counts(plan), is_open=is_open)


def gaps_part(plan: Plan) -> str:
    """What could not be checked, as loud as a failure. HTML, no unit."""
    items = [
        item("unchecked", plain(gap.id), f"<p>Missing: {sentence(gap.missing)}</p><p>To do: {sentence(gap.do)}</p>")
        for gap in plan.unchecked_detail
    ]
    told = {gap.id for gap in plan.unchecked_detail}
    items += [item("unchecked", plain(name), "") for name in plan.unchecked if name not in told]
    count = f'<span class="told">{len(items)}</span>'
    return section("Not checked", "".join(items), "gaps", told=count, is_open=True)
