"""The private addresses that calendars subscribe to."""

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from estimating.views.client.page import not_found
from jobsite.days.plan import read_days
from jobsite.forms.days import FeedForm
from jobsite.models import CalendarFeed
from jobsite.telling.calendar import TooOften, feed_file, find_feed, make_feed
from saving.forms import status_of
from saving.once import KEY, keeps_own_transactions


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def feed_new(request: HttpRequest) -> HttpResponse:
    """Make an address for a calendar; it is shown this once."""
    form = FeedForm(request.POST or None)
    context = {"place": "firm-days", "form": form}
    if form.is_valid():
        typed = form.cleaned_data
        once = request.POST.get(KEY, "")[:64] or None
        try:
            feed, secret = make_feed(typed["name"], typed["with_names"], timezone.now(), once)
        except IntegrityError:
            form.add_error(None, "This link was made a moment ago, from another tab or by a double tap.")
            return render(request, "jobsite/days/feed.html", context, status=409)
        context |= {
            "feed": feed,
            "address": request.build_absolute_uri(reverse("calendar-feed", args=[secret])),
        }
    return render(request, "jobsite/days/feed.html", context, status=status_of(form))


@require_POST
def feed_withdraw(request: HttpRequest, feed_id: int) -> HttpResponse:
    """Let an address open nothing any more."""
    CalendarFeed.objects.working().filter(pk=feed_id).update(withdrawn_at=timezone.now())
    return redirect("firm-days")


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Return the days to a calendar that knows the secret; anybody else gets the plain "not found"."""
    now = timezone.localtime()
    try:
        feed = find_feed(secret, now)
    except TooOften as error:
        words = "This calendar is asked for too often. It answers again within the hour.\n"
        wait = {"Retry-After": f"{int(error.wait.total_seconds()) + 1}"}
        return HttpResponse(words, status=429, content_type="text/plain; charset=utf-8", headers=wait)
    if feed is None:
        return not_found(request)
    content = feed_file(feed, read_days(now.date()), now, settings.TIME_ZONE)
    headers = {
        "Content-Disposition": 'inline; filename="days.ics"',
        "Cache-Control": "no-store",
        "X-Robots-Tag": "noindex, nofollow",
        "Referrer-Policy": "no-referrer",
    }
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)
