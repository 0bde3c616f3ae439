"""Reading back a length while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from catalog.measures.lengths import UnreadableLength, length_in_both_units, parse_length

BARE_UNITS = ("ft", "in", "m", "cm", "mm")


@require_GET
def length_reading(request: HttpRequest) -> HttpResponse:
    """Return a line of text for the length `value`; `bare` is the unit of a number without one."""
    typed = request.GET.get("value", "")
    bare = request.GET.get("bare", "ft")
    if not typed.strip() or bare not in BARE_UNITS:
        return HttpResponse("", content_type="text/plain; charset=utf-8")
    try:
        length_nm = parse_length(typed, bare=bare, allow_zero=True)
        words = length_in_both_units(length_nm, metric=bare in ("m", "cm", "mm"))
    except UnreadableLength as error:
        words = str(error)
    return HttpResponse(words, content_type="text/plain; charset=utf-8")
