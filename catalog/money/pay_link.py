"""How a client pays a bill: at an address that the firm gives, with amount and number filled in, or by bank.

No provider is known here. Whoever takes the firm's payments gives it an address; most read the amount or a
reference from it, in a place that only that provider's own pages can tell.
"""

import re
from decimal import Decimal
from urllib.parse import quote, urlsplit

AMOUNT, NUMBER = "{amount}", "{number}"
_PLACES = re.compile(r"\{[^{}]*\}")


def pay_link_fault(template: str) -> str:
    """Return why a template can't be an address to pay at, and what would be right; empty where it can.

    Amount and number go after the host, so that no bill can lead to another site.
    """
    if re.search(r"[^\x21-\x7e]", template):
        return "Leave out spaces and letters that an address can't hold."
    unknown = next((place for place in _PLACES.findall(template) if place not in (AMOUNT, NUMBER)), "")
    if unknown:
        return f"{unknown} isn't filled in here: write {AMOUNT} for the amount and {NUMBER} for the number."
    if re.search(r"[{}\"<>\\^`|]", _PLACES.sub("", template)):
        return f"Braces stand around {AMOUNT} and {NUMBER} alone, and an address has no quotes or < >."
    try:
        address = urlsplit(template)
        host, _ = address.hostname, address.port
    except ValueError:
        host = None
    if not host or address.scheme != "https":
        return "Write the whole address, beginning with https:// and the name of the site."
    if _PLACES.search(address.netloc):
        return f"{AMOUNT} and {NUMBER} come after the name of the site, not in it."
    if "@" in address.netloc:
        return "Leave out what stands before the @: browsers warn of such addresses."
    return ""


def fill_pay_link(template: str, amount: Decimal, number: str) -> str:
    """Return the address at which an amount in dollars is paid, "1234.50", for the bill of that number."""
    filled = {AMOUNT: f"{amount:.2f}", NUMBER: quote(number, safe="")}
    return _PLACES.sub(lambda place: filled[place[0]], template)


def bank_lines(details: str) -> list[tuple[str, str]]:
    """Return bank details as the client copies them, a label and its value for each line that isn't blank.

    A line without a colon is labeled "Bank".
    """
    lines = (line.partition(":") for line in details.splitlines() if line.strip())
    return [
        (label.strip(), value.strip()) if colon else ("Bank", label.strip()) for label, colon, value in lines
    ]
