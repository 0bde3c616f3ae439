"""Keeping the secrets of clients' links out of the logs."""

import logging
import re

AFTER_OPEN = re.compile(r"(/open/)[^/\s\"'?]+")


class HideSecrets(logging.Filter):
    """Replaces what follows /open/ in an address by dots; every line is logged."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = AFTER_OPEN.sub(r"\1...", record.getMessage()), ()
        return True
