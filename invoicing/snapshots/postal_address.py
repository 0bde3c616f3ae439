"""Reads the parts of a postal address (BG-5, BG-8 of EN 16931) from the lines as they were typed.

Only what is certain becomes a part: "Fennimore Falls, NY 12345" ends in the two letters of a state. All
else stays as it is in the lines of the street, which the standard allows.
"""

import re
from collections.abc import Sequence

from catalog.rows.us_states import STATES
from invoicing.einvoice.model import Address

_END = re.compile(r"(?:(?P<city>[^\d].*?),? +)?(?P<region>[A-Z]{2})\.?(?: +(?P<postcode>\d{5}(?:-\d{4})?))?")


def parse_postal_address(lines: Sequence[str], state: str = "") -> Address:
    """Return the address of these lines; `state` is its region where they name none."""
    parts = [part.strip() for line in lines for part in line.split(",") if part.strip()]
    end = _END.fullmatch(parts[-1]) if parts else None
    if end is None or end["region"] not in dict(STATES):
        street, city, region, postcode = list(lines), "", state, ""
    else:
        region, postcode = end["region"], end["postcode"] or ""
        street, city = (parts[:-1], end["city"]) if end["city"] else (parts[:-2], "".join(parts[-2:-1]))
    if not street:
        return Address(city=city or "", postcode=postcode, region=region)
    return Address(street[0], ", ".join(street[1:]), city or "", postcode, region)
