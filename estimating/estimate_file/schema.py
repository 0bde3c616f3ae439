"""The schema of estimate files, and what a file has that the schema doesn't accept, in plain sentences.

`estimate_file.schema.json` (JSON Schema 2020-12) says what a file may hold, to us and to others who check
their files with it. The library `jsonschema` applies it; here its errors become places and sentences.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, ValidationError
from jsonschema.protocols import Validator
from jsonschema.validators import extend

SCHEMA = Path(__file__).with_name("estimate_file.schema.json")
# Names that files written before the American spelling use; they are read as the names of today.
_FORMER_NAMES = {
    "labour_rate": "labor_rate",
    "labour_markup": "labor_markup",
    "covers_labour": "covers_labor",
}


class Number(str):
    """A number of the file, digit by digit as it is written, so that no float ever stands for it."""


@dataclass(frozen=True)
class Fault:
    """What is wrong at one place of a file, such as `rooms[0].openings[1].width`."""

    place: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.place or 'the file'}: {self.sentence}"


class UnfitFile(ValueError):
    """A file that can't be priced; `faults` holds all that is wrong with it."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


@cache
def schema() -> Mapping[str, Any]:
    """Read the schema of estimate files."""
    rules: Mapping[str, Any] = json.loads(SCHEMA.read_text("utf-8"))
    return rules


def parse(text: str) -> Any:
    """Parse JSON into dicts, lists, text, numbers as written, true and false. Raises UnfitFile."""
    try:
        parsed = json.loads(
            text,
            parse_int=Number,
            parse_float=Number,
            parse_constant=_refuse_constant,
            object_pairs_hook=_object,
        )
        json.dumps(parsed, ensure_ascii=False).encode()
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise UnfitFile([Fault(place, f"this can't be read as JSON: {error.msg}.")]) from error
    except UnicodeEncodeError as error:
        raise UnfitFile([Fault("", "it holds half of a character pair: save it as UTF-8.")]) from error
    except RecursionError as error:
        raise UnfitFile([Fault("", "its values are nested too deep to be read.")]) from error
    except ValueError as error:
        raise UnfitFile([Fault("", str(error))]) from error
    return parsed


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} isn't a number that can be read.")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Make a dict of the pairs in braces, under the names of today; each name may be given once."""
    names = [_FORMER_NAMES.get(name, name) for name, _ in pairs]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"“{name[:40]}” is given twice in the same braces: keep one.")
    return {name: value for name, (_, value) in zip(names, pairs, strict=True)}


def inside(place: str, name: str) -> str:
    """Return the place of a named value inside another."""
    return f"{place}.{name}" if place else name


def shape_faults(data: Any) -> Iterator[Fault]:
    """Yield what a parsed file has that the schema doesn't accept, each with its place."""
    for error in _validator().iter_errors(data):
        in_words = _SENTENCES[str(error.validator)]
        if sentence := in_words(error.instance, error.validator_value, error.schema):
            yield Fault(_place(error.absolute_path), sentence)


def _place(path: Iterable[str | int]) -> str:
    place = ""
    for step in path:
        place = f"{place}[{step}]" if isinstance(step, int) else inside(place, step)
    return place


@cache
def _validator() -> Validator:
    """Make a validator that tells numbers from text as `parse` does, and names each property apart."""
    types = Draft202012Validator.TYPE_CHECKER.redefine_many(
        {
            "number": lambda _, value: isinstance(value, Number),
            "string": lambda _, value: isinstance(value, str) and not isinstance(value, Number),
        }
    )
    keywords = {"required": _required, "additionalProperties": _no_others}
    extended: type[Validator] = extend(  # type: ignore[no-untyped-call]  # the stubs leave it untyped
        Draft202012Validator, keywords, type_checker=types
    )
    return extended(schema())


def _required(
    validator: Validator, names: list[str], value: Any, rules: Mapping[str, Any]
) -> Iterator[ValidationError]:
    """Report each missing property at its own place; the library reports it at the object's."""
    if validator.is_type(value, "object"):
        yield from (ValidationError("", path=[name]) for name in names if name not in value)


def _no_others(
    validator: Validator, allowed: bool, value: Any, rules: Mapping[str, Any]
) -> Iterator[ValidationError]:
    """Report each unknown property at its own place; the library reports all at once, at the object's."""
    if validator.is_type(value, "object") and not allowed:
        yield from (
            ValidationError("", path=[name[:40]]) for name in value if name not in rules["properties"]
        )


_TYPES = {
    "object": "named values in braces",
    "array": "a list in brackets",
    "string": "text in quotes",
    "number": "a number",
    "boolean": "true or false",
    "null": "null",
}


def _type(value: Any, types: Any, rules: Any) -> str:
    names = [types] if isinstance(types, str) else types
    return f"this must be {' or '.join(_TYPES[name] for name in names)}."


def _enum(value: Any, choices: Any, rules: Any) -> str:
    """Return the choices that a text isn't one of; empty for another type, which is refused already."""
    return f"“{value[:40]}” is none of these: {', '.join(choices)}." if isinstance(value, str) else ""


def _pattern(value: Any, pattern: Any, rules: Any) -> str:
    typed = f"“{value[:40]}” can't be read here" if value.strip() else "nothing is typed here"
    return f"{typed}: write it such as {rules['examples'][0]}."


# The sentence for a keyword that isn't met, from the value, what the keyword asks, and the rules it is in.
_SENTENCES: Mapping[str, Callable[[Any, Any, Any], str]] = {
    "type": _type,
    "enum": _enum,
    "const": lambda value, wanted, rules: f"this must be {wanted}.",
    "pattern": _pattern,
    "minItems": lambda value, least, rules: f"the list needs at least {least}.",
    "maxItems": lambda value, most, rules: f"the list has {len(value)}: at most {most} are read.",
    "not": lambda value, refused, rules: "this isn't used here: leave it out.",
    "required": lambda value, names, rules: "this is missing.",
    "additionalProperties": lambda *_: "nothing by this name is read here: check its spelling.",
}
# The keywords that have a sentence, and those that only lead to others.
KEYWORDS = _SENTENCES.keys() | {"$ref", "items", "properties", "allOf", "if", "then", "else"}
