"""The records that a phone sends, each kept once (`saving`)."""

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from estimating.forms.photos import takes_photos_of
from jobsite.forms.receipts import PIXELS
from phone.records.answer import RefusedRecord
from phone.records.kinds import RECORD_KINDS
from phone.sign_in import has_ended
from saving.models import SavedForm
from saving.once import KEY

OTHERWISE = (
    "This was kept already, as it was sent before. Correct it on the job's pages, and leave this one out."
)
ENDED = "This phone was ended on the Firm page: nothing more is taken from it. Sign in anew to keep records."


@takes_photos_of(PIXELS)
@require_POST
def record(request: HttpRequest) -> HttpResponse:
    """Save a record of any kind, or say in a sentence why not."""
    key = request.POST.get(KEY, "")[:64]
    kind = RECORD_KINDS.get(request.POST.get("kind", ""))
    try:
        if kind is None or not key:
            raise RefusedRecord("This kind of record isn't known here. Save it as a file.")
        if has_ended(request.POST.get("phone", "")[:32]):
            raise RefusedRecord(ENDED, also={"ended": True})
        if SavedForm.objects.filter(pk=key).exists():  # with other content: the same was answered before
            raise RefusedRecord(OTHERWISE, also={"kept": True})
        kind(request)
    except RefusedRecord as refused:
        told = {"sentence": str(refused), "fields": refused.fields, **refused.also}
        return JsonResponse(told, status=refused.status)
    except ValidationError as error:  # of a day
        sentence = " ".join(error.messages)
        return JsonResponse({"sentence": sentence, "fields": {"on": sentence}}, status=422)
    return HttpResponseRedirect(reverse("phone-record", args=[key]))


@require_GET
def record_kept(request: HttpRequest, key: str) -> HttpResponse:
    """Acknowledge a record that is saved: its key, or nothing where none is of this key."""
    return JsonResponse({"kept": key if SavedForm.objects.filter(pk=key).exists() else ""})
