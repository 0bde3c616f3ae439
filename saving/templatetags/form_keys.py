"""The key of a page's form, and what its fields held when the page was made: hidden fields."""

import json

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from saving.forms import OPENED, Opened
from saving.once import KEY, new_key

register = template.Library()


@register.simple_tag
def form_key(*edited: object, ident: str = "", oob: bool = False) -> SafeString:
    """Stands beside `{% csrf_token %}` in every form that saves something, with what is edited in it.

    Of that, forms that merge (`MergesEdits`) carry what their fields hold now; others carry nothing.

    With `ident` they have ids. `oob` is for a part of a page that htmx gets: its fields take the place of
    those on the page that have the same ids.
    """
    swap = SafeString(' hx-swap-oob="true"' if oob else "")
    key = _hidden(KEY, new_key(), ident, swap)
    merging = [form for form in edited if isinstance(form, Opened)]
    opened = {name: list(texts) for form in merging for name, texts in form.as_stored().items()}
    if not opened:
        return key
    return key + _hidden(OPENED, json.dumps(opened, ensure_ascii=False, separators=(",", ":")), ident, swap)


def _hidden(name: str, value: str, ident: str, swap: SafeString) -> SafeString:
    with_id = format_html(' id="{}-{}"', ident, name) if ident else ""
    return format_html('<input type="hidden" name="{}" value="{}"{}{}>', name, value, with_id, swap)
