"""Everything as files: whole, valid by its own schema, and without what opens anything."""

import csv
import io
import json
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest
from django.apps import apps
from django.test import Client as Browser

from backup.readable import OF_THE_FIRM, write_readable
from estimating.models import Client, Document, JobLink
from tests.every_row import every_kind_of_row
from tests.test_imports import MAY_IMPORT

pytestmark = pytest.mark.django_db(transaction=True)
AT = datetime(2026, 11, 28, 3, 0, tzinfo=UTC)


def test_every_row_and_file_is_there_and_nothing_that_opens_a_link(tmp_path: Path) -> None:
    every_kind_of_row()
    Client.objects.create(name="=HYPERLINK(1)")
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "card.txt").write_text("permit 14")
    write_readable(tmp_path / "all.zip", tmp_path, AT)
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        assert archive.testzip() is None
        data = json.loads(archive.read("data.json"))
        jsonschema.Draft202012Validator(json.loads(archive.read("data.schema.json"))).validate(data)
        documents = data["tables"]["estimating_document"]
        assert len(documents) == Document.objects.count()
        for row, document in zip(documents, Document.objects.order_by("pk"), strict=True):
            assert archive.read(row["pdf"]) == bytes(document.pdf)
            assert row["total"] == f"{document.total.amount}"
        table = list(csv.reader(io.StringIO(archive.read("tables/estimating_client.csv").decode())))
        assert table[0][:2] == ["id", "name"]
        assert table[-1][1] == "'=HYPERLINK(1)"
        assert len([name for name in archive.namelist() if name.startswith("photos/")]) >= 3
        assert archive.read("files/card.txt") == b"permit 14"
    (page,) = data["tables"]["estimating_joblink"]
    assert page["name"] == JobLink.objects.get().name
    assert not {"seed", "secret_sha256"} & set(page)
    assert "auth_user" not in data["tables"]


def test_the_password_is_asked_for_before_it_is_sent(signed_in: Browser, tmp_path: Path) -> None:
    wrong = signed_in.post("/firm/backups/everything/", {"take-own_password": "not mine"})
    assert wrong.status_code == 422
    assert "That isn&#x27;t the password that you sign in with." in wrong.content.decode()
    for _ in range(5):
        late = signed_in.post("/firm/backups/everything/", {"take-own_password": "not mine"})
    assert late.status_code == 429
    assert "Wrong passwords came too often. Wait" in late.content.decode()


def test_the_rows_of_each_app_are_in_it_but_those_of_signing_in_and_saving() -> None:
    ours = {
        model._meta.app_label for model in apps.get_models() if model.__module__.split(".")[0] in MAY_IMPORT
    }
    assert ours - set(OF_THE_FIRM) == {"access", "account", "phone", "saving"}
