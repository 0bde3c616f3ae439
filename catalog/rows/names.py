"""Names and codes that no other row has."""

from django.db import models
from django.utils.text import slugify

LONGEST_CODE = 80
LONGEST_NAME = 120


def free_code(model: type[models.Model], name: str) -> str:
    """A code from the name, such as `pva-primer`, with a number after it where that is taken."""
    return code_from(name, set(model.objects.values_list("code", flat=True)))


def code_from(name: str, taken: set[str]) -> str:
    stem = slugify(name)[: LONGEST_CODE - 8].strip("-") or "item"
    return _first_free(stem, taken, "{stem}-{number}")


def copy_name(model: type[models.Model], name: str) -> str:
    """ "Copy of NAME", cut to fit, with a number after it where that is taken."""
    stem = f"Copy of {name}"[: LONGEST_NAME - 8].rstrip()
    taken = {each.casefold() for each in model.objects.values_list("name", flat=True)}
    return _first_free(stem, taken, "{stem} {number}")


def _first_free(stem: str, taken: set[str], numbered: str) -> str:
    text, number = stem, 1
    while text.casefold() in taken:
        number += 1
        text = numbered.format(stem=stem, number=number)
    return text
