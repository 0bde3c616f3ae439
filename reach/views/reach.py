"""How clients reach the firm: whether links work from outside, and what to do."""

from collections.abc import Sequence

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port
from django.shortcuts import render
from django.views.decorators.http import require_GET

from reach.findings import Answer, leads_outside, names_findings
from reach.site import ask_names, last_opened_from_outside, outside_names, proof_of


@require_GET
def reach_page(request: HttpRequest) -> HttpResponse:
    """Show what links begin with and what a client last opened; with ?look, ask for the site by its names."""
    names, here = outside_names(), split_domain_port(request.get_host())[0]
    asked = ask_names() if "look" in request.GET and settings.HTTPS else None
    context = {
        "place": "firm",
        "names": names,
        "here": request.build_absolute_uri("/"),
        "is_outside": leads_outside(here) and request.is_secure(),
        "asked": asked,
        "findings": _findings(names, asked),
        "opened_at": last_opened_from_outside(),
        "https": settings.HTTPS,
    }
    return render(request, "reach/reach.html", context)


@login_not_required
@require_GET
def proof(request: HttpRequest, nonce: str) -> HttpResponse:
    """Answer what only this site can answer, to whoever asks whether a name leads to it."""
    return HttpResponse(proof_of(nonce[:64]), content_type="text/plain")


def _findings(names: Sequence[str], asked: Sequence[tuple[str, Answer]] | None) -> list[str]:
    """Return what is wrong; of names that weren't asked for, only what the settings show."""
    answers = asked if asked is not None else [(name, Answer.OURS) for name in names]
    return names_findings(answers, settings.HTTPS)
