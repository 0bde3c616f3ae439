"""Keeping the secrets of clients' links and of calendars out of the logs."""

import logging
import re

SECRETS = re.compile(r"(/(?:open|calendar|new-password/[^/\s]+)/)[^/\s\"'?]+")


class HideSecrets(logging.Filter):
    """Replaces secrets in addresses of links, calendars and new passwords by dots; every line is logged."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = SECRETS.sub(r"\1...", record.getMessage()), ()
        return True
