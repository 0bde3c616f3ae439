"""The firm of the demo."""

import json
from pathlib import Path

from django.conf import settings

from catalog.letterhead.svg_logo import safe_svg
from catalog.models import Firm

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"


def load_firm() -> tuple[Firm, bool]:
    """Return the firm, and whether it was put in just now.

    It is the demo's firm where nobody has described his own yet.
    """
    firm = Firm.current()
    if is_described(firm):
        return firm, False
    for name, typed in json.loads((FIXTURES / "firm.json").read_text("utf-8")).items():
        setattr(firm, name, typed)
    firm.logo = safe_svg((FIXTURES / "logo.svg").read_text("utf-8"), f"Logo of {firm.name}")
    firm.full_clean()
    firm.save()
    return Firm.current(), True


def is_described(firm: Firm) -> bool:
    """Return whether somebody has typed anything about the firm."""
    blank = Firm(pk=1, name="My firm")
    columns = [field.attname for field in Firm._meta.concrete_fields]
    return any(getattr(firm, name) != getattr(blank, name) for name in columns)
