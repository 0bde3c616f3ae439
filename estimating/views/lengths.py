"""How a length that is being typed reads."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from catalog.measures.units import UnreadableLength, parse_length
from estimating.rooms.length_text import reading

BARE_UNITS = ("ft", "in", "m", "cm", "mm")


@require_GET
def length_reading(request: HttpRequest) -> HttpResponse:
    """One line of text for `value`, read with the unit `bare`; empty for nothing typed."""
    typed = request.GET.get("value", "")
    bare = request.GET.get("bare", "ft")
    if not typed.strip() or bare not in BARE_UNITS:
        return HttpResponse("", content_type="text/plain; charset=utf-8")
    try:
        words = reading(parse_length(typed, bare=bare, allow_zero=True), metric=bare in ("m", "cm", "mm"))
    except UnreadableLength as error:
        words = str(error)
    return HttpResponse(words, content_type="text/plain; charset=utf-8")
