"""A text message with a link, written out for the firm's own phone to send (RFC 5724)."""

import re
from urllib.parse import quote


def text_message_address(phone: str, text: str) -> str:
    """Return the `sms:` URI that opens a text message with its body filled in.

    RFC 5724, 2.2: the number, then `?body=` with the text percent-encoded. Without a number that can be
    called, the phone asks for one.
    """
    return f"sms:{_number(phone)}?body={quote(text, safe='')}"


def _number(phone: str) -> str:
    """Return a number with its country where that can be told, as RFC 3966 wants it; empty for none.

    Ten digits are a number of the North American Numbering Plan, whose country code is 1; an extension
    doesn't get text messages.
    """
    dialed = re.split(r"[A-Za-z;,]", phone, maxsplit=1)[0]
    digits = "".join(letter for letter in dialed if letter.isascii() and letter.isdigit())
    if "+" in dialed:
        return f"+{digits}" if digits else ""
    if len(digits) == 10:
        return f"+1{digits}"
    return f"+{digits}" if len(digits) == 11 and digits[0] == "1" else digits
