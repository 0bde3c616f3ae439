"""The shape of an estimate file: JSON that its schema accepts, and a sentence for each place that it doesn't.

The rules are read from `estimate_file.schema.json`, so that the schema which others check their files
with says what is read here. The keywords of JSON Schema 2020-12 that it uses are those of `_KEYWORDS`.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

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
        super().__init__("\n".join(str(each) for each in faults))
        self.faults = tuple(faults)


@cache
def schema() -> Mapping[str, Any]:
    """The schema of estimate files."""
    return json.loads(SCHEMA.read_text("utf-8"))


def parse(text: str) -> Any:
    """JSON as dicts, lists, text, numbers as written, true and false. Raises UnfitFile."""
    try:
        parsed = json.loads(
            text,
            parse_int=Number,
            parse_float=Number,
            parse_constant=_no_number,
            object_pairs_hook=_each_name_once,
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


def _no_number(name: str) -> None:
    raise ValueError(f"{name} isn't a number that can be read.")


def _each_name_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = [_FORMER_NAMES.get(name, name) for name, _ in pairs]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"“{name[:40]}” is given twice in the same braces: keep one.")
    return {name: value for name, (_, value) in zip(names, pairs, strict=True)}


def shape_faults(value: Any, rules: Any, place: str = "") -> Iterator[Fault]:
    """What a value has that the rules of a schema don't accept, each with its place."""
    if rules is False:
        yield Fault(place, "this isn't used here: leave it out.")
        return
    for keyword, told in _KEYWORDS.items():
        if keyword in rules:
            yield from told(value, rules, place)


def _ref(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    yield from shape_faults(value, schema()["$defs"][rules["$ref"].removeprefix("#/$defs/")], place)


_TYPES: Mapping[str, tuple[str, Callable[[Any], bool]]] = {
    "object": ("named values in braces", lambda value: isinstance(value, dict)),
    "array": ("a list in brackets", lambda value: isinstance(value, list)),
    "string": ("text in quotes", lambda value: isinstance(value, str) and not isinstance(value, Number)),
    "number": ("a number", lambda value: isinstance(value, Number)),
    "boolean": ("true or false", lambda value: isinstance(value, bool)),
    "null": ("null", lambda value: value is None),
}


def _type(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    wanted = rules["type"] if isinstance(rules["type"], list) else [rules["type"]]
    if not any(_TYPES[name][1](value) for name in wanted):
        yield Fault(place, f"this must be {' or '.join(_TYPES[name][0] for name in wanted)}.")


def _one_of(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, str) and value not in rules["enum"]:
        yield Fault(place, f"“{value[:40]}” is none of these: {', '.join(rules['enum'])}.")


def _const(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if value != rules["const"]:
        yield Fault(place, f"this must be {rules['const']}.")


def _pattern(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if _TYPES["string"][1](value) and not re.search(rules["pattern"], value):
        typed = f"“{value[:40]}” can't be read here" if value.strip() else "nothing is typed here"
        yield Fault(place, f"{typed}: write it such as {rules['examples'][0]}.")


def _items(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, list):
        for number, each in enumerate(value):
            yield from shape_faults(each, rules["items"], f"{place}[{number}]")


def _least(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, list) and len(value) < rules["minItems"]:
        yield Fault(place, f"the list needs at least {rules['minItems']}.")


def _most(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, list) and len(value) > rules["maxItems"]:
        yield Fault(place, f"the list has {len(value)}: at most {rules['maxItems']} are read.")


def _required(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, dict):
        for name in rules["required"]:
            if name not in value:
                yield Fault(inside(place, name), "this is missing.")


def _properties(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, dict):
        for name, more in rules["properties"].items():
            if name in value:
                yield from shape_faults(value[name], more, inside(place, name))


def _no_others(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    if isinstance(value, dict):
        for name in (each for each in value if each not in rules["properties"]):
            yield Fault(inside(place, name[:40]), "nothing by this name is read here: check its spelling.")


def _all_of(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    for each in rules["allOf"]:
        yield from shape_faults(value, each, place)


def _if(value: Any, rules: Mapping[str, Any], place: str) -> Iterator[Fault]:
    holds = not any(shape_faults(value, rules["if"], place))
    yield from shape_faults(value, rules.get("then" if holds else "else", {}), place)


_KEYWORDS: Mapping[str, Callable[[Any, Mapping[str, Any], str], Iterator[Fault]]] = {
    "$ref": _ref,
    "type": _type,
    "enum": _one_of,
    "const": _const,
    "pattern": _pattern,
    "items": _items,
    "minItems": _least,
    "maxItems": _most,
    "required": _required,
    "properties": _properties,
    "additionalProperties": _no_others,
    "allOf": _all_of,
    "if": _if,
}
KEYWORDS = frozenset(_KEYWORDS) | {"then", "else"}


def inside(place: str, name: str) -> str:
    """The place of a named value inside another."""
    return f"{place}.{name}" if place else name
