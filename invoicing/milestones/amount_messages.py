"""What is said when an amount typed is more than is due."""

from decimal import Decimal

from catalog.money.amounts import format_price


def over_in_words(amount: Decimal, due: Decimal, chosen: int) -> str:
    """Why an amount is too much for the `chosen` invoices (0: all), and what would be right; empty where
    it isn't."""
    if amount <= due:
        return ""
    if not due:
        where = "Nothing is due"
    else:
        on = "all that is owed" if not chosen else "that invoice" if chosen == 1 else "those invoices"
        where = f"{format_price(amount)} is more than the {format_price(due)} due on {on}"
    return (
        f"{where}. {'Type less, or tick' if due else 'Tick'} “Keep what is over as credit”: "
        f"{format_price(amount - due)} then waits for a later invoice and can be given back."
    )
