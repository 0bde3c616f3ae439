"""The firm's own figures, which no client may find in a snapshot or on a paper."""

import re

from estimating.estimates.draft import Draft


def sums_in(text: str) -> set[str]:
    """All amounts with two decimals in a text, without their commas."""
    return {found.replace(",", "") for found in re.findall(r"\d[\d,]*\.\d\d\b", text)}


def hidden_sums(draft: Draft) -> set[str]:
    """Every figure of a draft that is the firm's own, as it would be printed."""
    lines = (*draft.priced.lines, *draft.priced.options)
    own = {draft.policy.labor_rate, draft.priced.cost, draft.priced.profit, draft.priced.hours}
    for line in lines:
        own |= {line.labor_cost, line.material_cost, line.cost, line.hours, line.store_tax}
    own |= {allowance.amount for allowance in draft.allowances if allowance.at_cost}
    return {f"{amount:.2f}" for amount in own if amount}
