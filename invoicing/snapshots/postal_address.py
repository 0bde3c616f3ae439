"""The parts of an address for the standard's address (BG-5, BG-8), from the lines as they were typed.

Only what is certain is taken for a part: "Fennimore Falls, NY 12345" ends in a state's two letters. All
else stays as it is in the lines of the street, which the standard allows.
"""

import re
from collections.abc import Sequence

from catalog.rows.us_states import STATES
from invoicing.einvoice.model import Address

_END = re.compile(r"(?:(?P<city>[^\d].*?),? +)?(?P<region>[A-Z]{2})\.?(?: +(?P<postcode>\d{5}(?:-\d{4})?))?")


def postal(lines: Sequence[str], state: str = "") -> Address:
    """The address of these lines. `state` stands where they name none."""
    parts = [part.strip() for line in lines for part in line.split(",") if part.strip()]
    found = _END.fullmatch(parts[-1]) if parts else None
    if found is None or found["region"] not in dict(STATES):
        street, city, region, postcode = list(lines), "", state, ""
    else:
        region, postcode = found["region"], found["postcode"] or ""
        street, city = (parts[:-1], found["city"]) if found["city"] else (parts[:-2], "".join(parts[-2:-1]))
    if not street:
        return Address(city=city or "", postcode=postcode, region=region)
    return Address(street[0], ", ".join(street[1:]), city or "", postcode, region)
