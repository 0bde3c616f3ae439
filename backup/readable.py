"""Everything as one zip that needs no Benchrule: PDFs, photos, each table as CSV, and all of it as JSON.

Left out is what opens something: passwords, sessions, secrets of links. Whoever wants the site itself back
takes a backup instead.
"""

import json
import zipfile
from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from io import TextIOWrapper
from pathlib import Path
from typing import Any, TextIO

from django.apps import apps
from django.db import models
from django.utils.text import slugify

from catalog.price_lists.spreadsheet import write_csv
from estimating.database.snapshot import reading_snapshot
from estimating.models import Document, Job, SignedCopy

OF_THE_FIRM = ("catalog", "estimating", "jobsite", "closing", "invoicing")  # the apps whose rows are his
OPENS_SOMETHING = ("secret", "seed", "password")  # parts of names of columns
FARTHEST = 4  # steps from a photo to its job
KINDS_OF_FILE = ((b"%PDF", "pdf"), (b"\xff\xd8\xff", "jpg"), (b"\x89PNG", "png"), (b"RIFF", "webp"))
JSON_TYPES: dict[Any, str] = {  # by the class of a column
    models.BooleanField: "boolean",
    models.FloatField: "number",
    models.IntegerField: "integer",
    models.AutoField: "integer",
}
README = """Everything that was entered, as of {at:%Y-%m-%d %H:%M %Z}.

papers/   every paper as it was issued, and the signed copies, by job: PDF
photos/   every photo and scan, by job
tables/   every table: CSV in UTF-8, opened by any spreadsheet. The first line names the columns; a column
          that ends in _id has the id of a row in another table. A cell that a spreadsheet would take for a
          formula has an apostrophe in front.
files/    what else was kept as files
data.json          the same tables in one file, without that apostrophe; data.schema.json says what is in it
                   (json-schema.org, 2020-12)

Sums are in dollars, times in UTC (ISO 8601), lengths that end in _nm in nanometers: 304,800,000 are a foot.
Left out are passwords, sign-ins, and what opens the links of clients.
"""


def write_readable(file: Path, data: Path, at: datetime) -> int:
    """Write the zip as of one moment; return how many files are in it. `data` is the data folder."""
    with reading_snapshot(), zipfile.ZipFile(file, "x", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("README.txt", README.format(at=at))
        archive.writestr("data.schema.json", json.dumps(schema(), indent=2))
        for path in sorted(data.glob("files/**/*")):
            if path.is_file():
                archive.write(path, f"{path.relative_to(data)}")
        places = {model: dict(_write_files(archive, model)) for model in _models()}
        for model in _models():
            rows = ([_as_cell(value) for value in row] for row in _rows(model, places[model]))
            headings = [field.attname for field in _fields(model)]
            archive.writestr(f"tables/{model._meta.db_table}.csv", write_csv(headings, rows))
        with archive.open("data.json", "w", force_zip64=True) as raw, TextIOWrapper(raw, "utf-8") as text:
            _write_json(text, at, places)
        return len(archive.namelist())


def schema() -> dict[str, Any]:
    """Return the JSON Schema of `data.json`."""
    tables = {}
    for model in _models():
        columns = {field.attname: _json_column(field) for field in _fields(model)}
        row = {
            "type": "object",
            "required": list(columns),
            "additionalProperties": False,
            "properties": columns,
        }
        tables[model._meta.db_table] = {
            "type": "array",
            "description": f"{model._meta.verbose_name}",
            "items": row,
        }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "required": ["made_at", "tables"],
        "properties": {
            "made_at": {"type": "string"},
            "tables": {"type": "object", "required": list(tables), "properties": tables},
        },
    }


def _models() -> list[type[models.Model]]:
    found = apps.get_models(include_auto_created=True)
    return [model for model in found if model._meta.app_label in OF_THE_FIRM and model._meta.managed]


def _fields(model: type[models.Model]) -> "list[models.Field[Any, Any]]":
    fields = model._meta.local_concrete_fields
    return [field for field in fields if not any(part in field.attname for part in OPENS_SOMETHING)]


def _rows(model: type[models.Model], places: Mapping[Any, str]) -> Iterator[list[Any]]:
    """Yield the values of each row; of a file's content, its place in the zip."""
    fields = _fields(model)
    names = ["pk" if _is_file(field) else field.attname for field in fields]
    for row in model._base_manager.order_by("pk").values_list(*names).iterator(500):
        yield [places[value] if _is_file(field) else value for field, value in zip(fields, row, strict=True)]


def _write_files(archive: zipfile.ZipFile, model: type[models.Model]) -> Iterator[tuple[Any, str]]:
    """Put the files that a table holds into the zip; yield the number of each row and its file's place."""
    names = [field.attname for field in _fields(model) if _is_file(field)]
    if not names:
        return
    for row in model._base_manager.order_by("pk").iterator(20):
        held = getattr(row, names[0])
        if held is None:
            yield row.pk, ""
            continue
        content = bytes(held)
        ending = next((name for begins, name in KINDS_OF_FILE if content.startswith(begins)), "bin")
        job = _job_of(row)
        folder = f"{job.pk}-{slugify(job.name)[:60]}" if job else "of-no-job"
        kind = "papers" if ending == "pdf" else "photos"
        place = f"{kind}/{folder}/{_name(row)}.{ending}"
        archive.writestr(place, content, zipfile.ZIP_STORED)
        yield row.pk, place


def _name(row: models.Model) -> str:
    if isinstance(row, Document):
        return slugify(f"{row}")
    if isinstance(row, SignedCopy):
        return f"{slugify(f'{row.acceptance.document}')}-signed-{row.pk}"
    return f"{row._meta.verbose_name}-{row.pk}".replace(" ", "-")


def _job_of(row: models.Model, steps: int = FARTHEST) -> Job | None:
    """Return the job that a row belongs to, by what it refers to; None where it belongs to none."""
    if isinstance(row, Job):
        return row
    if steps:
        for field in row._meta.local_concrete_fields:
            if isinstance(field, models.ForeignKey) and getattr(row, field.attname) is not None:
                found = _job_of(getattr(row, field.name), steps - 1)
                if found:
                    return found
    return None


def _write_json(text: TextIO, at: datetime, places: Mapping[type[models.Model], Mapping[Any, str]]) -> None:
    text.write(json.dumps({"made_at": at.isoformat()})[:-1] + ', "tables": {')
    for number, model in enumerate(_models()):
        names = [field.attname for field in _fields(model)]
        text.write(f'{", " if number else ""}\n"{model._meta.db_table}": [')
        for place, row in enumerate(_rows(model, places[model])):
            values = {name: _as_json(value) for name, value in zip(names, row, strict=True)}
            text.write(f"{',' if place else ''}\n{json.dumps(values, ensure_ascii=False)}")
        text.write("]")
    text.write("}}\n")


def _is_file(field: "models.Field[Any, Any]") -> bool:
    return isinstance(field, models.BinaryField)


def _json_column(field: "models.Field[Any, Any]") -> dict[str, Any]:
    """Return what the JSON Schema says of a column."""
    described = {"description": f"{field.verbose_name}"}
    if isinstance(field, models.JSONField):
        return described
    kind = field.target_field if isinstance(field, models.ForeignKey) else field
    name = next((name for of, name in JSON_TYPES.items() if isinstance(kind, of)), "string")
    return {**described, "type": [name, "null"] if field.null else name}


def _as_json(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | float | str | dict | list):
        return value
    return _as_cell(value)


def _as_cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if hasattr(value, "isoformat") else f"{value}"
