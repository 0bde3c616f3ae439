"""The parts that all pages share: fields, the summary of errors, files with a hash in their name."""

import re
from pathlib import Path

import pytest
from django import forms
from django.core.management import call_command
from django.template.loader import render_to_string
from django.test import RequestFactory
from pytest_django import Settings

from config.static_files import CollectedFiles


class DoorForm(forms.Form):
    width = forms.CharField(
        label="Width",
        help_text="As the tape reads.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "data-reading": ""}),
    )
    swing = forms.ChoiceField(
        label="Swing", widget=forms.RadioSelect, choices=[("l", "Left"), ("r", "Right")]
    )
    room = forms.CharField(widget=forms.HiddenInput)

    def clean(self) -> None:
        self.add_error(None, "The door is wider than its wall.")


def ids(page: str) -> set[str]:
    return set(re.findall(r'\sid="([^"]+)"', page))


def test_a_wrong_field_is_tied_to_its_hint_and_its_error() -> None:
    page = DoorForm({})["width"].as_field_group()
    assert 'aria-invalid="true"' in page
    described_by = re.search(r'aria-describedby="([^"]+)"', page)
    assert described_by
    assert described_by[1].split() == ["id_width_helptext", "id_width_error"]
    assert set(described_by[1].split()) <= ids(page)


def test_radios_carry_label_and_error_on_their_fieldset() -> None:
    page = DoorForm({})["swing"].as_field_group()
    assert '<fieldset aria-describedby="id_swing_error">' in page
    assert "<legend>Swing</legend>" in page
    assert "id_swing_error" in ids(page)


def test_a_length_has_a_place_for_its_reading_and_others_do_not() -> None:
    form = DoorForm()
    assert "id_width_reading" in ids(form["width"].as_field_group())
    assert "reading" not in form["swing"].as_field_group()


def test_the_summary_links_each_error_to_a_field_on_the_page() -> None:
    form = DoorForm({})
    summary = render_to_string("_error_summary.html", {"form": form})
    links = re.findall(r'href="#([^"]+)"', summary)
    assert links == ["id_width", "id_swing_0"]
    assert set(links) <= ids(form.as_div())


def test_the_summary_says_what_belongs_to_no_visible_field() -> None:
    summary = render_to_string("_error_summary.html", {"form": DoorForm({"width": "3"})})
    assert "The door is wider than its wall." in summary
    assert summary.count("This field is required.") == 2


def test_without_errors_there_is_no_summary() -> None:
    assert render_to_string("_error_summary.html", {"form": DoorForm()}).strip() == ""


def test_what_was_typed_is_shown_and_never_run() -> None:
    page = DoorForm({"width": '"><script>alert(1)</script>'})["width"].as_field_group()
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


@pytest.mark.parametrize("name", ["400.html", "403.html", "404.html", "403_csrf.html"])
def test_error_pages_say_what_to_do(name: str) -> None:
    page = render_to_string(name, request=RequestFactory().get("/"))
    assert "<h1>" in page
    assert 'href="/"' in page


def test_the_page_for_a_fault_of_ours_needs_nothing() -> None:
    page = render_to_string("500.html")
    assert "{%" not in Path("templates/500.html").read_text()
    assert "Something broke on our side" in page


def test_collected_files_have_a_hash_in_their_name_and_plain_ones_before(
    settings: Settings, tmp_path: Path
) -> None:
    settings.STATIC_ROOT = tmp_path
    assert CollectedFiles(location=tmp_path).stored_name("benchrule.css") == "benchrule.css"
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "config.static_files.CollectedFiles"},
    }
    call_command("collectstatic", interactive=False, verbosity=0)
    name = CollectedFiles(location=tmp_path).stored_name("benchrule.css")
    assert re.fullmatch(r"benchrule\.[0-9a-f]{12}\.css", name)
    assert re.search(r"inter-latin-400\.[0-9a-f]{12}\.woff2", (tmp_path / name).read_text())
    assert (tmp_path / f"{name}.gz").exists()
    (tmp_path / f"{name}.br").write_bytes(b"done")
    call_command("collectstatic", interactive=False, verbosity=0)
    assert (tmp_path / f"{name}.br").read_bytes() == b"done"  # the next start doesn't compress it again
