"""What makes the site an app on a phone: manifest, worker, and the one page that opens without signal."""

import json

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_GET

from phone.shell import kept_addresses, modules, version, worker_script

SCRIPT = "text/javascript; charset=utf-8"
GROUND, CHALK = "#fbfaf7", "#1d5a9e"


@login_not_required
@require_GET
def manifest(request: HttpRequest) -> HttpResponse:
    """Say what the app is called and looks like on the phone's first screen."""
    icons = [
        {
            "src": static(f"phone/icon-{size}.png"),
            "sizes": f"{size}x{size}",
            "type": "image/png",
            "purpose": purpose,
        }
        for size in (192, 512)
        for purpose in ("any", "maskable")
    ]
    told = {
        "id": "/",
        "name": "Benchrule",
        "short_name": "Benchrule",
        "description": "Measure, keep hours and receipts on site, with or without signal.",
        "start_url": reverse("on-site"),
        "scope": "/",
        "display": "standalone",
        "background_color": GROUND,
        "theme_color": CHALK,
        "lang": "en-US",
        "icons": icons,
    }
    headers = {"Cache-Control": "no-cache"}
    return JsonResponse(told, content_type="application/manifest+json", headers=headers)


@login_not_required
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """Return the script that keeps the page's files; it changes with any of them."""
    page = reverse("on-site")
    told = {
        "VERSION": version(_shell()),
        "PAGE": page,
        "FILES": kept_addresses(),
    }
    head = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in told.items())
    return HttpResponse(head + worker_script(), content_type=SCRIPT, headers={"Cache-Control": "no-cache"})


@login_not_required
@require_GET
def on_site(request: HttpRequest) -> HttpResponse:
    """Show the page for on site: the same for everybody, filled by its scripts from what the phone keeps."""
    return HttpResponse(_shell(), headers={"Cache-Control": "no-cache"})


def _shell() -> str:
    return render_to_string("phone/on_site.html", {"modules": modules()})
