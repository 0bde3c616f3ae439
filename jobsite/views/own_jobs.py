"""What his jobs say about his rates: suggestions, each taken or set aside by him alone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobsite.learning import answers
from jobsite.learning.read import read_own_jobs
from jobsite.learning.suggestions import Suggestion
from jobsite.models import SuggestionAnswer


@require_GET
def own_jobs(request: HttpRequest) -> HttpResponse:
    context = {"place": "catalog", "own": read_own_jobs(timezone.localdate())}
    return render(request, "jobsite/own_jobs/own_jobs.html", context)


@require_POST
def suggestion_take(request: HttpRequest) -> HttpResponse:
    """Take a suggestion, as it was shown."""
    suggestion = _as_shown(request)
    if suggestion:
        answers.take(suggestion, timezone.now())
        messages.success(
            request,
            f"{suggestion.title} is at {suggestion.then} now. Papers that were issued stay as they are.",
        )
    return redirect("own-jobs")


@require_POST
def suggestion_set_aside(request: HttpRequest) -> HttpResponse:
    """Leave things as they are until a further job says something."""
    suggestion = _as_shown(request)
    if suggestion:
        answers.set_aside(suggestion, timezone.now())
        messages.success(request, f"{suggestion.title} stays at {suggestion.now}, until the next job.")
    return redirect("own-jobs")


@require_POST
def suggestion_put_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Give what was taken back the value that it had."""
    answer = get_object_or_404(SuggestionAnswer, pk=pk, taken=True, put_back_at=None)
    try:
        answers.put_back(answer, timezone.now())
    except answers.NotPutBack as refused:
        messages.error(request, f"{answer.title}: {refused}")
    else:
        messages.success(request, f"{answer.title} is back at {answer.now}.")
    return redirect("own-jobs")


def _as_shown(request: HttpRequest) -> Suggestion | None:
    """Return the suggestion that was answered; None, and a sentence, where it says something else by now."""
    own = read_own_jobs(timezone.localdate())
    suggestion = own.find(request.POST.get("kind", ""), request.POST.get("code", ""))
    if suggestion is None or suggestion.then != request.POST.get("then"):
        messages.error(request, "Hours or rates changed since this page was made: look at it again.")
        return None
    return suggestion
