"""What a browser may do with our pages: load our own files, send forms to us, and nothing else."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

GetResponse = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "object-src 'none'",
    )
)
PERMISSIONS = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"


def content_security(get_response: GetResponse) -> GetResponse:
    """Return middleware that adds the policy to every response and keeps pages out of caches.

    Prices and names on a page belong to whoever is signed in, and a page shown again on Back should
    show today's numbers; a view that knows better sets its own `Cache-Control`.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware
