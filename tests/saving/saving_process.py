"""Sixteen browsers at once, for tests: `python -m tests.saving.saving_process race`.

Prints as JSON what they were answered and what they left in the database, which the environment names as it
does for the site.
"""

import json
import os
import sys
from collections.abc import Mapping
from functools import partial
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth.models import User  # noqa: E402
from django.db import connections  # noqa: E402
from django.test import Client  # noqa: E402

from catalog.models import Supplier  # noqa: E402
from invoicing.models import Payment, PaymentPlan  # noqa: E402
from invoicing.payment_plan.templates import create_plan  # noqa: E402
from saving.once import KEY  # noqa: E402
from tests.estimating.issuing_process import PROCESSES, THREADS, all_at_once  # noqa: E402
from tests.invoicing.bills import THIRDS, billed, signed_floor  # noqa: E402

SIXTEEN = PROCESSES * THREADS


def race() -> Mapping[str, Any]:
    """Send one page sixteen times, then draw a plan and pay an invoice in full from sixteen pages each."""
    settings.ALLOWED_HOSTS.append("testserver")
    post = partial(_post, User.objects.create_user("pat").pk)
    job = signed_floor()
    Client().get("/sign-in/")  # so that no child has to load the pages
    PaymentPlan.objects.all().delete()
    sent = {"name": "Fennimore Lumber", KEY: "one page"}
    all_at_once([partial(post, "/catalog/suppliers/new/", sent)] * SIXTEEN)
    drawn = [{"pattern": "five", KEY: f"page {number}"} for number in range(SIXTEEN)]
    all_at_once([partial(post, f"/jobs/{job.pk}/plan/set-up/", sent) for sent in drawn])
    plans = PaymentPlan.objects.count()
    PaymentPlan.objects.all().delete()
    create_plan(job, THIRDS)
    invoice = billed(job, "Begun")
    amount = f"{invoice.total.amount}"
    paid = [{"amount": amount, KEY: f"tab {tab}", "once": f"tab {tab}"} for tab in range(SIXTEEN)]
    all_at_once([partial(post, f"/invoices/{invoice.pk}/paid/", sent) for sent in paid])
    found = {
        "suppliers": Supplier.objects.filter(name="Fennimore Lumber").count(),
        "plans": plans,
        "payments": Payment.objects.count(),
        "statuses": sorted(set((settings.DATA_DIR / "statuses").read_text().split())),
    }
    connections.close_all()
    return found


def _post(user_pk: int, address: str, data: Mapping[str, str]) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.get(pk=user_pk))
    status = client.post(address, data).status_code
    with (settings.DATA_DIR / "statuses").open("a") as answers:
        answers.write(f"{status}\n")


if __name__ == "__main__":
    print(json.dumps({"race": race}[sys.argv[1]]()))
