"""The message for a payment that is more than what is due."""

from decimal import Decimal

from catalog.money.amounts import format_price


def overpayment_in_words(amount: Decimal, due: Decimal, chosen: int) -> str:
    """Return why a payment is too much and what would be right; an empty text where it isn't.

    `due` is what is open on the `chosen` number of invoices; 0 chosen: on all of them.
    """
    if amount <= due:
        return ""
    if not due:
        problem = "Nothing is due"
    else:
        on = "all that is owed" if not chosen else "that invoice" if chosen == 1 else "those invoices"
        problem = f"{format_price(amount)} is more than the {format_price(due)} due on {on}"
    return (
        f"{problem}. {'Type less, or tick' if due else 'Tick'} “Keep what is over as credit”: "
        f"{format_price(amount - due)} then waits for a later invoice and can be given back."
    )
