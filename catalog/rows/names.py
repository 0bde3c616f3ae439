"""Names and codes that no other row has."""

from django.utils.text import slugify

from catalog.models import CodedRow

LONGEST_CODE = 80
LONGEST_NAME = 120


def free_code(model: type[CodedRow], name: str) -> str:
    """Return a code made from the name, such as `pva-primer`, that no row of the model has yet."""
    return code_from(name, set(model.objects.values_list("code", flat=True)))


def code_from(name: str, taken: set[str]) -> str:
    """Return a code made from the name, with a number after it where it is among those taken."""
    stem = slugify(name)[: LONGEST_CODE - 8].strip("-") or "item"
    return _first_free(stem, taken, "{stem}-{number}")


def copy_name(model: type[CodedRow], name: str) -> str:
    """Return "Copy of NAME", cut to fit, with a number after it where a row of the model has that name."""
    stem = f"Copy of {name}"[: LONGEST_NAME - 8].rstrip()
    taken = {used.casefold() for used in model.objects.values_list("name", flat=True)}
    return _first_free(stem, taken, "{stem} {number}")


def _first_free(stem: str, taken: set[str], numbered: str) -> str:
    text, number = stem, 1
    while text.casefold() in taken:
        number += 1
        text = numbered.format(stem=stem, number=number)
    return text
